"""Jobs side by side, and what they come to."""

from __future__ import annotations

import heapq
import itertools
import os
import pickle
import time
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import wait
from types import TracebackType
from typing import Any

from verify.errors import ToolError
from verify.workers.host import Host
from verify.workers.jobs import Job, Limits, Tell, Trouble

__all__ = ["Finished", "Pool", "usable_processors"]

MOST_STARTS = 3
"""Hosts in a row that die before they do anything, until it is clear that none will start."""

_LOOK_SECONDS = 1.0
"""How often the clock is looked at while something has to end in time."""


@dataclass(frozen=True, slots=True)
class Finished:
    """A job that has ended; ``outcome`` is what it returned, or an :class:`EveryedgeError`.

    The error is the one that it raised, :class:`verify.report.crash.Crash` for an unexpected one,
    or a :class:`Trouble`.
    """

    key: Hashable
    outcome: Any


@dataclass(slots=True)
class _Entry:
    """A job on its way; ``unwanted``: what has made us stop it."""

    key: Hashable
    job: Job
    heard: Tell | None
    deadline: float | None = None
    unwanted: Trouble | None = None


class Pool:
    """Runs jobs, each in a process of its own, ``size`` at a time; a context manager.

    None: as many as there are processors. ``load``: a function, as ``module:name``, that loads what
    the jobs need, once for all of them. Leaving the pool ends every process, whatever it is at.
    """

    def __init__(self, size: int | None = None, limits: Limits | None = None, *, load: str = "") -> None:
        self.size = size or usable_processors()
        self._limits, self._load = limits or Limits(), load
        self._waiting: list[tuple[int, int, _Entry]] = []
        self._running: dict[int, _Entry] = {}
        self._numbers = itertools.count()
        self._host: Host | None = None
        self._false_starts = 0

    def add(self, key: Hashable, job: Job, *, rank: int = 0, heard: Tell | None = None) -> None:
        """Have a job done; those of a lower ``rank`` first, then those that were added first.

        ``key`` tells the jobs apart. ``heard``: is called, from :meth:`finished`, with what the job
        tells while it is being done.
        """
        heapq.heappush(self._waiting, (rank, next(self._numbers), _Entry(key, job, heard)))
        self._hand_out()

    def cancel(self, key: Hashable) -> None:
        """Have a job not done; one that is being done ends as ``cancelled`` unless it ends first."""
        self._waiting = [waiting for waiting in self._waiting if waiting[2].key != key]
        heapq.heapify(self._waiting)
        for number, entry in self._running.items():
            if entry.key == key:
                self._stop(number, entry, Trouble("cancelled", "cancelled"))

    @property
    def open(self) -> int:
        """Jobs that wait or are being done."""
        return len(self._waiting) + len(self._running)

    def finished(self, seconds: float | None = None, others: Sequence[Any] = ()) -> Iterator[Finished]:
        """What has ended once something has happened, or ``seconds`` have passed.

        ``others``: whatever else :func:`multiprocessing.connection.wait` can wait for; word from it
        ends the waiting, too. Raises :class:`verify.errors.ToolError` when no host starts.
        """
        host = self._host
        limited = (self._limits.seconds is not None and self.open) or (host is not None and not host.ready)
        patience = min(_LOOK_SECONDS if seconds is None else seconds, _LOOK_SECONDS) if limited else seconds
        lines: list[Any] = [] if host is None else [host.line]
        ready: list[Any] = wait([*lines, *others], patience)
        if host is not None and host.line in ready:
            yield from self._word(host)
        elif host is not None and host.overdue:
            yield from self._lost(host)
        now = time.monotonic()
        for number, entry in self._running.items():
            if entry.deadline is not None and entry.deadline < now:
                told = f"it took more than {self._limits.seconds or 0.0:g} s"
                self._stop(number, entry, Trouble("limit", told))
        self._hand_out()

    def all(self) -> Iterator[Finished]:
        """Everything that was added, as it ends."""
        while self.open:
            yield from self.finished()

    def warm_up(self) -> None:
        """Start now: loading takes a second that the first jobs then need not wait."""
        if self._host is None:
            self._host = Host(self._load)

    def close(self) -> None:
        """End every process, whatever it is at; safe to call twice."""
        self._waiting.clear()
        self._running.clear()
        if self._host is not None:
            self._host.end()
            self._host = None

    def _word(self, host: Host) -> Iterator[Finished]:
        try:
            what, *rest = host.receive()
        except (EOFError, OSError):
            yield from self._lost(host)
            return
        self._false_starts = 0
        if what == "said":
            heard = self._running[rest[0]].heard
            if heard is not None:
                heard(pickle.loads(rest[1]))  # noqa: S301 -- from a process that we started
        elif what == "ended":
            number, outcome, how = rest
            yield _ended(self._running.pop(number), outcome, how)

    def _lost(self, host: Host) -> Iterator[Finished]:
        """The host is gone, with what was being done."""
        self._host, ended = None, list(self._running.values())
        self._running.clear()
        host.end()
        if not host.ready:
            self._false_starts += 1
            if self._false_starts >= MOST_STARTS and self._waiting:
                raise ToolError("no worker process starts", advice="see that memory and processes are left")
        for entry in ended:
            yield _ended(entry, None, "the process that checked it was ended from outside")

    def _stop(self, number: int, entry: _Entry, why: Trouble) -> None:
        if entry.unwanted is None and self._host is not None:
            entry.unwanted = why
            self._host.stop(number)

    def _hand_out(self) -> None:
        """Have begun what there is room for."""
        if self._waiting:
            self.warm_up()
        while self._waiting and len(self._running) < self.size and self._host and self._host.ready:
            _, number, entry = self._waiting[0]
            try:
                self._host.begin(number, entry.job, self._limits)
            except OSError:
                return  # it is gone: heard of at the next look
            heapq.heappop(self._waiting)
            if self._limits.seconds is not None:
                entry.deadline = time.monotonic() + self._limits.seconds
            self._running[number] = entry

    def __enter__(self) -> Pool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _ended(entry: _Entry, outcome: bytes | None, how: str) -> Finished:
    if outcome is not None:
        return Finished(entry.key, pickle.loads(outcome))  # noqa: S301 -- from a process that we started
    advice = "run it again; see that there is memory"
    return Finished(entry.key, entry.unwanted or Trouble("died", how, advice=advice))


def usable_processors() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
