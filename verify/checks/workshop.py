"""Checks of one or many benches side by side, each in a process of its own."""

from __future__ import annotations

import heapq
import itertools
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Sequence
from multiprocessing.connection import Connection, wait
from pathlib import Path
from types import TracebackType

from verify.checks.settings import Listener, Settings
from verify.errors import ToolError
from verify.results import CheckResult, RunResult

__all__ = ["Order", "Workshop"]

PROGRAM = "import sys; from verify.checks.worker import main; main(int(sys.argv[1]), int(sys.argv[2]))"
GRACE_SECONDS = 1.0
"""What a worker gets to put away its compilers before it is killed."""

Piece = tuple["Order", str | None]
"""A check of an order to be run; None: its bench is to be read."""


class _Abroad(Exception):
    """Where in the worker an error came from."""


class Order:
    """The checks of one bench; :meth:`results` waits for them."""

    def __init__(self, workshop: Workshop, bench: Path, settings: Settings) -> None:
        self.bench, self.settings = bench, settings
        self._workshop = workshop
        self._names: Sequence[str] | None = None
        self._done: dict[str | None, CheckResult | Exception] = {}
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
                self._workshop.attend()
        except BaseException as error:
            if not isinstance(error, Exception):  # Ctrl-C: nothing may outlive it
                self._workshop.close()
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
        if isinstance(error := self._done.get(None), Exception):
            raise error
        if self._names is None:
            return False
        while self._told < len(self._names):
            found = self._done.get(self._names[self._told])
            if found is None:
                return False
            if isinstance(found, Exception):
                raise found
            self._told += 1
            listener.check_finished(found)
        return True

    def hear(self, method: str, arguments: tuple[object, ...]) -> None:
        """Something that a check says on its way."""
        name = str(arguments[0])
        if self._listener is not None:
            getattr(self._listener, method)(*arguments)
        self._heard.setdefault(name, {})[method] = arguments

    def ready(self, names: Sequence[str]) -> list[Piece]:
        """The bench has been read: what is to be run."""
        self._names = names
        return [(self, name) for name in names]

    def finish(self, name: str | None, outcome: CheckResult | Exception) -> None:
        """What a check came to; for None: why the bench cannot be run."""
        self._done[name] = outcome


class _Worker:
    """Our end of a worker process; ``piece`` is what it is at."""

    def __init__(self) -> None:
        ours, theirs = socket.socketpair()
        lifeline, self._lifeline = os.pipe()
        here = str(Path(__file__).resolve().parent.parent.parent)
        path = os.pathsep.join(filter(None, [here, os.environ.get("PYTHONPATH")]))
        with theirs:
            self._process = subprocess.Popen(  # noqa: S603 -- our own program
                [sys.executable, "-c", PROGRAM, str(theirs.fileno()), str(lifeline)],
                env=os.environ | {"PYTHONPATH": path},
                stdin=subprocess.DEVNULL,
                pass_fds=(theirs.fileno(), lifeline),
            )
        os.close(lifeline)
        self.connection = Connection(ours.detach())
        self.piece: Piece | None = None

    def stop(self) -> None:
        self._process.send_signal(signal.SIGTERM)

    def end(self, deadline: float) -> int:
        """Wait for it, then kill it; its exit status."""
        try:
            self._process.wait(max(deadline - time.monotonic(), 0))
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        if self._lifeline >= 0:
            os.close(self._lifeline)
            self._lifeline = -1
        self.connection.close()
        return self._process.returncode


class Workshop:
    """Up to ``jobs`` workers; a context manager. Every check gives the result that it gives alone."""

    def __init__(self, jobs: int) -> None:
        self._jobs = max(jobs, 1)
        self._workers: list[_Worker] = []
        self._waiting: list[tuple[tuple[int, int], Piece]] = []
        self._orders: dict[int, int] = {}
        self._ranks = itertools.count()

    def order(self, bench: Path, settings: Settings) -> Order:
        """Begin with the checks of a bench; those ordered first are run first."""
        order = Order(self, bench, settings)
        self._orders[id(order)] = next(self._ranks)
        self._queue([(order, None)])
        self._employ()
        return order

    def _queue(self, pieces: Sequence[Piece]) -> None:
        for number, piece in enumerate(pieces):
            heapq.heappush(self._waiting, ((self._orders[id(piece[0])], number), piece))

    def _employ(self) -> None:
        """Give waiting pieces to idle workers, new ones while there is room."""
        idle = [worker for worker in self._workers if worker.piece is None]
        while self._waiting and (idle or len(self._workers) < self._jobs):
            if idle:
                worker = idle.pop()
            else:
                self._workers.append(worker := _Worker())
            worker.piece = heapq.heappop(self._waiting)[1]
            order, name = worker.piece
            worker.connection.send((order.bench, order.settings, name))

    def attend(self) -> None:
        """Wait until a worker says something, and see to it."""
        busy = {worker.connection: worker for worker in self._workers if worker.piece is not None}
        if not busy:
            raise RuntimeError("there is nothing to wait for")
        for connection in wait(list(busy)):
            worker = busy[connection]  # type: ignore[index]
            try:
                kind, *rest = worker.connection.recv()
            except (EOFError, OSError):
                self._lost(worker)
            else:
                self._said(worker, kind, rest)
        self._employ()

    def _said(self, worker: _Worker, kind: str, rest: list[object]) -> None:
        order, name = worker.piece  # type: ignore[misc]
        if kind == "heard":
            order.hear(*rest)  # type: ignore[arg-type]
            return
        worker.piece = None
        if kind == "ready":
            self._queue(order.ready(rest[0]))  # type: ignore[arg-type]
        elif kind == "finished":
            order.finish(name, rest[0])  # type: ignore[arg-type]
        else:
            error, story = rest
            error.__cause__ = _Abroad(f"\n{story}")  # type: ignore[attr-defined]
            order.finish(name, error)  # type: ignore[arg-type]

    def _lost(self, worker: _Worker) -> None:
        """A worker died: whatever it was at has no result."""
        order, name = worker.piece  # type: ignore[misc]
        self._workers.remove(worker)
        status = worker.end(time.monotonic() + GRACE_SECONDS)
        what = f"the process of the check {name!r}" if name else "the process that read the bench"
        advice = "is there enough memory? --jobs 1 runs one check at a time"
        order.finish(name, ToolError(f"{what} ended unexpectedly (status {status})", advice=advice))

    def close(self) -> None:
        """End all workers and everything they started; safe to call twice."""
        workers, self._workers, self._waiting = self._workers, [], []
        for worker in workers:
            worker.stop()
        deadline = time.monotonic() + GRACE_SECONDS
        for worker in workers:
            worker.end(deadline)

    def __enter__(self) -> Workshop:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
