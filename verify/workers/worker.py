"""The near end of one worker."""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import socket
import subprocess
import sys
import time
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import psutil  # type: ignore[import-untyped,unused-ignore]

from verify.workers.host import CANCEL, READY
from verify.workers.jobs import Job, Limits

__all__ = ["Worker"]

PACKAGES = Path(__file__).parents[2]
# -P: a file in the folder where everyedge is called must not pass for a module.
START = (
    "import sys; sys.path.append(sys.argv[2]); from verify.workers.host import main; main(int(sys.argv[1]))"
)


class Worker:
    """A process that does one job at a time.

    ``key`` and ``job``: what it is at, None when it is idle. ``started``: it has said so.
    """

    def __init__(self) -> None:
        near, far = socket.socketpair()
        with far:
            self._process = subprocess.Popen(  # noqa: S603 -- our own program
                [sys.executable, "-P", "-c", START, str(far.fileno()), str(PACKAGES)],
                pass_fds=(far.fileno(),),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                # A pool of threads for linear algebra, which nothing here needs, would bar forking.
                env=os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
                start_new_session=True,
            )
        self.connection = Connection(near.detach())
        self.key: Any = None
        self.job: Job | None = None
        self.started = False
        self._deadline: float | None = None

    def begin(self, key: Any, job: Job, limits: Limits) -> None:
        """Start a job. Raises OSError when the worker is gone."""
        self.key, self.job = key, job
        self._deadline = None if limits.seconds is None else time.monotonic() + limits.seconds
        self.connection.send_bytes(pickle.dumps((job, limits)))

    def cancel(self) -> None:
        """End the job; its outcome is a trouble of kind ``cancelled``, unless it came first."""
        with contextlib.suppress(OSError):
            self.connection.send_bytes(CANCEL)

    @property
    def overdue(self) -> bool:
        """Whether the job has used up its time."""
        return self._deadline is not None and time.monotonic() > self._deadline

    def receive(self) -> tuple[Any, Any] | None:
        """(key, outcome) of the job that has ended; None for word that the worker has started.

        Waits for a message. Raises EOFError or OSError when the worker is gone.
        """
        message = self.connection.recv_bytes()
        if message == READY:
            self.started = True
            return None
        key = self.key
        self.key = self.job = self._deadline = None
        return key, pickle.loads(message)  # noqa: S301 -- from the process that we started

    def kill(self) -> None:
        """End the worker and everything it started; safe to call twice."""
        family = []
        if self._process.poll() is None:
            with contextlib.suppress(psutil.Error):
                family = psutil.Process(self._process.pid).children(recursive=True)
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self._process.pid, signal.SIGKILL)
        for process in family:
            with contextlib.suppress(psutil.Error):
                process.kill()
        self._process.wait()
        self.connection.close()
