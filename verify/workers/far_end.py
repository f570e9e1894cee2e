"""The host process itself: it has loaded the engine and forks for each job.

Forking makes a job cost milliseconds instead of the second that loading takes, and leaves nothing
of one job to the next. It is done here and not in the process that asks, because that one may have
threads. Runs as ``main`` of a fresh interpreter, see :mod:`verify.workers.host`.
"""

from __future__ import annotations

import contextlib
import gc
import os
import pickle
import pkgutil
import selectors
import signal
import socket
import time
import warnings
from collections.abc import Iterable
from multiprocessing.connection import Connection, Pipe

import psutil  # type: ignore[import-untyped,unused-ignore]

from verify.workers.child import GRACE_SECONDS, OUTCOME, SAID, do_job
from verify.workers.line import Line

__all__ = ["main"]


def main(descriptor: int, load: str) -> None:
    """Serve the jobs that come over the socket ``descriptor`` until its other end closes.

    ``load``: a function, as ``module:name``, that loads what jobs need; empty: none.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for whoever asks; it then ends us
    asker = Line(socket.socket(fileno=descriptor))
    if load:
        pkgutil.resolve_name(load)()
    gc.freeze()  # what is loaded stays in memory that all jobs share
    with contextlib.suppress(EOFError, OSError), _Host(asker) as host:
        asker.send("ready")
        while True:
            host.attend()
    os._exit(0)  # all is put away; a library would complain of what is left in memory


class _Child:
    """A job that is being done. ``killed_at``: when it is killed, on the monotonic clock."""

    def __init__(self, pid: int, connection: Connection) -> None:
        self.pid, self.connection = pid, connection
        self.killed_at: float | None = None
        self.outcome: bytes | None = None

    def stop(self) -> None:
        """Ask it to leave; :meth:`kill` is for one that does not."""
        if self.killed_at is None:
            self.killed_at = time.monotonic() + GRACE_SECONDS
            os.kill(self.pid, signal.SIGTERM)

    def kill(self) -> None:
        """End it and everything that it started."""
        family = [psutil.Process(self.pid)]
        with contextlib.suppress(psutil.Error):
            family += family[0].children(recursive=True)
        for process in family:
            with contextlib.suppress(psutil.Error):
                process.kill()

    def reap(self) -> str:
        """How it ended, in words; waits for it."""
        self.connection.close()
        _, status = os.waitpid(self.pid, 0)
        if os.WIFSIGNALED(status):
            name = signal.Signals(os.WTERMSIG(status)).name
            return f"the process that checked it was ended by {name}"
        number = os.waitstatus_to_exitcode(status)
        return f"the process that checked it ended with status {number} and no result"


class _Host:
    """The jobs that are being done, by the numbers that the asker gave them; a context manager."""

    def __init__(self, asker: Line) -> None:
        self._asker = asker
        self._children: dict[int, _Child] = {}
        self._lifeline, self._held = os.pipe()

    def attend(self) -> None:
        """Wait until somebody says something, and see to it. Raises EOFError when the asker is gone."""
        with selectors.DefaultSelector() as waiting:
            writing = selectors.EVENT_WRITE if self._asker.has_unsent else 0
            waiting.register(self._asker, selectors.EVENT_READ | writing)
            for number, child in self._children.items():
                waiting.register(child.connection, selectors.EVENT_READ, number)
            happened = waiting.select(self._patience())
        for key, events in happened:
            if key.data is not None:
                self._heard(key.data)
                continue
            if events & selectors.EVENT_WRITE:
                self._asker.flush()
            if events & selectors.EVENT_READ:
                self._asked(*self._asker.receive())
        self._kill_late(self._children.values())

    def _patience(self) -> float | None:
        ends = [child.killed_at for child in self._children.values() if child.killed_at is not None]
        return max(min(ends) - time.monotonic(), 0) if ends else None

    def _asked(self, what: str, number: int, message: bytes = b"") -> None:
        if what == "begin":
            with contextlib.suppress(Exception):
                pickle.loads(message)  # noqa: S301 -- loads its modules here, once for all jobs
            self._children[number] = self._forked(message)
        elif number in self._children:  # not when it has just ended
            self._children[number].stop()

    def _forked(self, message: bytes) -> _Child:
        ours, theirs = Pipe(duplex=False)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # of forking beside threads: there are none
            pid = os.fork()
        if pid == 0:
            os.close(self._held)
            self._asker.close()
            for connection in (ours, *(child.connection for child in self._children.values())):
                connection.close()
            do_job(message, theirs, self._lifeline)
        theirs.close()
        return _Child(pid, ours)

    def _heard(self, number: int) -> None:
        child = self._children[number]
        try:
            message = child.connection.recv_bytes()
        except (EOFError, OSError):
            del self._children[number]
            how = child.reap()
            self._asker.send("ended", number, child.outcome, how)
            return
        if message[:1] == SAID:
            self._asker.send("said", number, message[1:])
        elif message[:1] == OUTCOME:
            child.outcome = message[1:]

    def _kill_late(self, children: Iterable[_Child]) -> None:
        now = time.monotonic()
        for child in children:
            if child.killed_at is not None and child.killed_at <= now:
                child.kill()
                child.killed_at = now + GRACE_SECONDS

    def __enter__(self) -> _Host:
        return self

    def __exit__(self, *_: object) -> None:
        """Stop everything, and see that it is gone."""
        left = dict(self._children)
        for child in left.values():
            child.stop()
        while left:
            for number, child in list(left.items()):
                if os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOHANG | os.WNOWAIT) is not None:
                    child.reap()
                    del left[number]
            self._kill_late(left.values())
            time.sleep(0.01 if left else 0)
