"""As many workers as are wanted, and what they bring."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import wait
from types import TracebackType
from typing import Any

from verify.errors import ToolError
from verify.workers.jobs import Job, Limits, Trouble
from verify.workers.worker import Worker

__all__ = ["Finished", "Pool"]

MOST_STARTS = 3
"""Workers in a row that die before they do anything, until it is clear that none will start."""


@dataclass(frozen=True, slots=True)
class Finished:
    """A job that has ended; ``outcome`` is what it returned, or a :class:`Trouble`."""

    key: Hashable
    outcome: Any


class Pool:
    """Runs jobs, each in a process of its own, ``size`` at a time; a context manager.

    None: as many as there are processors. Leaving it ends every process, whatever it is at.
    """

    def __init__(self, size: int | None = None, limits: Limits | None = None) -> None:
        self.size = size or usable_processors()
        self._limits = limits or Limits()
        self._waiting: deque[tuple[Hashable, Job]] = deque()
        self._workers: list[Worker] = []
        self._false_starts = 0

    def add(self, key: Hashable, job: Job, *, first: bool = False) -> None:
        """Have a job done; ``first``: before those that wait. Keys tell the jobs apart."""
        (self._waiting.appendleft if first else self._waiting.append)((key, job))
        self._hand_out()

    def cancel(self, key: Hashable) -> None:
        """Have a job not done; one that is being done ends as ``cancelled`` unless it ends first."""
        self._waiting = deque(entry for entry in self._waiting if entry[0] != key)
        for worker in self._workers:
            if worker.key == key:
                worker.cancel()

    @property
    def open(self) -> int:
        """Jobs that wait or are being done."""
        return len(self._waiting) + sum(worker.key is not None for worker in self._workers)

    def finished(self, seconds: float | None = None, others: Sequence[Any] = ()) -> Iterator[Finished]:
        """What has ended once something has, or ``seconds`` have passed.

        ``others``: whatever else :func:`multiprocessing.connection.wait` can wait for; word from it
        ends the waiting, too. Raises :class:`verify.errors.ToolError` when no worker starts.
        """
        limited = self._limits.seconds is not None and self.open
        patience = min(seconds or 1.0, 1.0) if limited else seconds
        ready = wait([*(worker.connection for worker in self._workers), *others], patience)
        for worker in list(self._workers):
            if worker.connection in ready:
                yield from self._heard(worker)
            elif worker.key is not None and worker.overdue:
                seconds_allowed = self._limits.seconds or 0.0
                yield self._ended(worker, Trouble("limit", f"it took more than {seconds_allowed:g} s"))
        self._hand_out()

    def all(self) -> Iterator[Finished]:
        """Everything that was added, as it ends."""
        while self.open:
            yield from self.finished()

    def _heard(self, worker: Worker) -> Iterator[Finished]:
        try:
            ended = worker.receive()
        except (EOFError, OSError):
            if worker.job is None or not worker.started:
                if worker.job is not None:
                    self._waiting.appendleft((worker.key, worker.job))
                self._drop(worker)
                self._false_start()
                return
            yield self._ended(worker, Trouble("died", "the process that checked it was ended from outside"))
            return
        self._false_starts = 0
        if ended is not None:
            yield Finished(*ended)

    def _ended(self, worker: Worker, trouble: Trouble) -> Finished:
        key = worker.key
        self._drop(worker)
        return Finished(key, trouble)

    def _drop(self, worker: Worker) -> None:
        self._workers.remove(worker)
        worker.kill()

    def _false_start(self) -> None:
        self._false_starts += 1
        if self._false_starts >= MOST_STARTS and self._waiting:
            raise ToolError("no worker process starts", advice="see that memory and processes are left")

    def _hand_out(self) -> None:
        """Give idle workers something to do, and start those that are wanted."""
        while self._waiting:
            worker = next((worker for worker in self._workers if worker.key is None), None)
            if worker is None:
                if len(self._workers) >= self.size:
                    return
                worker = Worker()
                self._workers.append(worker)
            key, job = self._waiting.popleft()
            try:
                worker.begin(key, job, self._limits)
            except OSError:
                self._waiting.appendleft((key, job))
                self._drop(worker)
                self._false_start()

    def warm_up(self) -> None:
        """Start every worker now: loading takes a second that the first jobs then need not wait."""
        while len(self._workers) < self.size:
            self._workers.append(Worker())

    def __enter__(self) -> Pool:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        workers, self._workers = self._workers, []
        self._waiting.clear()
        for worker in workers:
            worker.kill()


def usable_processors() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
