"""The process in which checks run beside others: takes tasks, sends back what happens.

Talks pickled messages with :mod:`verify.checks.workshop` over one socket, and ends when the other
side is gone.
"""

from __future__ import annotations

import os
import pickle
import signal
import threading
import traceback
from multiprocessing.connection import Connection
from pathlib import Path
from types import FrameType
from typing import Any

from verify.bench import Bench
from verify.checks.bench_run import opened, ready_checks, run_ready
from verify.checks.planning import Plan, plan_check
from verify.checks.settings import Settings
from verify.errors import EveryedgeError
from verify.results import CheckResult

__all__ = ["Task", "main"]

Task = tuple[Path, Settings, str | None]
"""Bench file, settings, and the check to run; None: only see whether the bench can be run."""


class _Stopped(BaseException):
    """The other side wants no more: leave by the way of a Ctrl-C, so that everything is cleaned up."""


class _Voice:
    """A listener that passes on what it hears."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def _say(self, method: str, *arguments: object) -> None:
        self._connection.send(("heard", method, arguments))

    def check_started(self, name: str, expected_clocks: int | None) -> None:
        self._say("check_started", name, expected_clocks)

    def stage(self, name: str, text: str) -> None:
        self._say("stage", name, text)

    def clocks(self, name: str, done: int, total: int | None) -> None:
        self._say("clocks", name, done, total)

    def check_finished(self, result: CheckResult) -> None:
        """Told by whoever asked, in the order of the bench."""


class _Hand:
    """Does the tasks, and keeps the plans of the last bench at hand."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._bench: tuple[Path, Bench] | None = None
        self._plans: dict[str, Plan] = {}

    def do(self, task: Task) -> tuple[str, Any]:
        path, settings, name = task
        if name is None:
            plans = ready_checks(path, settings)
            self._plans = {plan.check.name: plan for plan in plans}
            self._bench = (path, plans[0].bench) if plans else None
            return "ready", [plan.check.name for plan in plans]
        if self._bench is None or self._bench[0] != path:
            self._bench, self._plans = (path, opened(path, settings)), {}
        plan = self._plans.pop(name, None)
        if plan is None:
            bench = self._bench[1]
            plan = plan_check(bench, next(check for check in bench.checks if check.name == name))
        return "finished", run_ready(plan, path, settings, _Voice(self._connection))


def _answer(hand: _Hand, task: Task) -> tuple[object, ...]:
    try:
        return hand.do(task)
    except Exception as error:  # noqa: BLE001 -- whatever it is, it is told on the other side
        return "failed", _portable(error), traceback.format_exc()


def _portable(error: Exception) -> Exception:
    """An error that survives the way; others are told in words."""
    try:
        pickle.loads(pickle.dumps(error))  # noqa: S301 -- what was pickled here
    except Exception:  # noqa: BLE001 -- pickling may raise anything
        return error if isinstance(error, EveryedgeError) else RuntimeError(repr(error))
    return error


def _stop(_number: int, _frame: FrameType | None) -> None:
    raise _Stopped


def _end_with(lifeline: int) -> None:
    """End when the other side's end of the pipe closes, whatever goes on here."""
    os.read(lifeline, 1)
    os.kill(os.getpid(), signal.SIGTERM)
    threading.Event().wait(2)
    os.kill(os.getpid(), signal.SIGKILL)


def main(socket: int, lifeline: int) -> None:
    """Do tasks until there are none; the descriptors are those of the socket and of the lifeline."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to everybody; who asked decides
    signal.signal(signal.SIGTERM, _stop)
    threading.Thread(target=_end_with, args=(lifeline,), daemon=True).start()
    try:
        connection = Connection(socket)
        hand = _Hand(connection)
        while True:
            connection.send(_answer(hand, connection.recv()))
    except (EOFError, OSError, _Stopped):
        os._exit(0)  # all is put away by now; a library would complain of objects that are left
