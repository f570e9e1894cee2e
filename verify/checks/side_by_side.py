"""Checks of one or many benches side by side, each in a process of its own."""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import cast

from verify.checks.engine import LOAD
from verify.checks.jobs import CheckJob, ReadJob
from verify.checks.settings import Listener, Settings
from verify.errors import EveryedgeError, ToolError
from verify.results import CheckResult, RunResult
from verify.workers import NO_LIMITS, Pool, Trouble

__all__ = ["Order", "SideBySide"]


class Order:
    """The checks of one bench; :meth:`results` waits for them."""

    def __init__(self, beside: SideBySide, number: int, bench: Path, settings: Settings) -> None:
        self.bench, self.settings = bench, settings
        self._beside, self._number = beside, number
        self._names: Sequence[str] | None = None
        self._unread: EveryedgeError | None = None
        self._done: dict[str, CheckResult | EveryedgeError] = {}
        self._told = 0
        self._listener: Listener | None = None
        self._heard: dict[str, dict[str, tuple[object, ...]]] = {}

    def results(self, listener: Listener) -> RunResult:
        """All results in the order of the bench, told to ``listener`` as soon as those before them are.

        Raises what the first check in that order that cannot be run raises, or the bench itself.
        """
        began = time.monotonic()
        self._listener = listener
        for name, last in self._heard.items():
            if name not in self._done:
                for method, arguments in last.items():
                    getattr(listener, method)(*arguments)
        try:
            while not self._tell(listener):
                self._beside.attend()
        except BaseException as error:
            if not isinstance(error, Exception):  # Ctrl-C: nothing may outlive it
                self._beside.close()
            raise
        results = (self._done[name] for name in self._names or ())
        found = tuple(result for result in results if isinstance(result, CheckResult))
        return RunResult(found, self.bench, time.monotonic() - began)

    def untold(self) -> list[CheckResult]:
        """What has finished and was not told yet, because something before it has not."""
        names = (self._names or ())[self._told :]
        results = (self._done.get(name) for name in names)
        return [result for result in results if isinstance(result, CheckResult)]

    def _tell(self, listener: Listener) -> bool:
        """Tell what can be told; whether that was all."""
        if self._unread is not None:
            raise self._unread
        if self._names is None:
            return False
        while self._told < len(self._names):
            found = self._done.get(self._names[self._told])
            if found is None:
                return False
            if isinstance(found, EveryedgeError):
                raise found
            self._told += 1
            listener.check_finished(found)
        return True

    def hear(self, said: tuple[str, tuple[object, ...]]) -> None:
        """Something that a check says on its way."""
        method, arguments = said
        if self._listener is not None:
            getattr(self._listener, method)(*arguments)
        self._heard.setdefault(str(arguments[0]), {})[method] = arguments

    def read(self, outcome: Sequence[str] | EveryedgeError) -> None:
        """The bench has been read: what is to be run, or why it cannot be."""
        if isinstance(outcome, EveryedgeError):
            self._unread = _lost("the reading of the bench", outcome)
            return
        self._names = outcome
        for name in outcome:
            self._beside.add(self._number, name, CheckJob(self.bench, name, self.settings))

    def finish(self, name: str, outcome: CheckResult | EveryedgeError) -> None:
        """What a check came to."""
        self._done[name] = _lost(f"the check {name!r}", outcome) if isinstance(outcome, Trouble) else outcome


def _lost(what: str, error: EveryedgeError) -> EveryedgeError:
    """A process that died leaves no result, and says little of why."""
    if not isinstance(error, Trouble):
        return error
    advice = "is there enough memory? --jobs 1 runs one check at a time"
    return ToolError(f"{what} ended unexpectedly: {error.message}", advice=advice)


class SideBySide:
    """Up to ``jobs`` checks at a time; a context manager. Each gives the result that it gives alone."""

    def __init__(self, jobs: int) -> None:
        self._pool = Pool(max(jobs, 1), NO_LIMITS, load=LOAD)
        self._orders: list[Order] = []

    def order(self, bench: Path, settings: Settings) -> Order:
        """Begin with the checks of a bench; those ordered first are run first."""
        number = len(self._orders)
        order = Order(self, number, bench, settings)
        self._orders.append(order)
        self._pool.add((number, None), ReadJob(bench, settings), rank=number)
        return order

    def add(self, number: int, name: str, job: CheckJob) -> None:
        """Have a check of an order run in its turn."""
        self._pool.add((number, name), job, rank=number, heard=self._orders[number].hear)

    def attend(self) -> None:
        """Wait until a worker says something, and see to it."""
        if not self._pool.open:
            raise RuntimeError("there is nothing to wait for")
        for finished in self._pool.finished():
            number, name = cast("tuple[int, str | None]", finished.key)
            if name is None:
                self._orders[number].read(finished.outcome)
            else:
                self._orders[number].finish(name, finished.outcome)

    def close(self) -> None:
        """End all workers and everything they started; safe to call twice."""
        self._pool.close()

    def __enter__(self) -> SideBySide:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
