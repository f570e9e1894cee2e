"""Our end of the host process."""

from __future__ import annotations

import contextlib
import os
import pickle
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from verify.process_family import end_family
from verify.workers.child import GRACE_SECONDS
from verify.workers.jobs import Job, Limits
from verify.workers.line import Line

__all__ = ["Host"]

PACKAGES = Path(__file__).parents[2]
START_SECONDS = 300.0
"""Wall time in which a host has to have loaded, on the slowest of machines."""

# -P: a file in the folder where everyedge is called must not pass for a module.
START = (
    "import sys; sys.path.append(sys.argv[2]); "
    "from verify.workers.far_end import main; main(int(sys.argv[1]), sys.argv[3])"
)


class Host:
    """A process that does jobs, each in a process that it forks.

    ``line``: what to wait for. ``ready``: it has said that it has loaded.
    """

    def __init__(self, load: str) -> None:
        near, far = socket.socketpair()
        with far:
            self._process = subprocess.Popen(  # noqa: S603 -- our own program
                [sys.executable, "-P", "-c", START, str(far.fileno()), str(PACKAGES), load],
                pass_fds=(far.fileno(),),
                stdin=subprocess.DEVNULL,
                stdout=_for_prints(),
                # A pool of threads for linear algebra, which nothing here needs, would bar forking.
                env=os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
                start_new_session=True,
            )
        self.line = Line(near)
        self.ready = False
        self._deadline = time.monotonic() + START_SECONDS

    @property
    def overdue(self) -> bool:
        """Whether it has not loaded in its time."""
        return not self.ready and time.monotonic() > self._deadline

    def begin(self, number: int, job: Job, limits: Limits) -> None:
        """Have a job done. Raises OSError when the host is gone."""
        self.line.send("begin", number, pickle.dumps((job, limits)))
        self.line.flush(whole=True)

    def stop(self, number: int) -> None:
        """Have a job ended."""
        with contextlib.suppress(OSError):
            self.line.send("stop", number)
            self.line.flush(whole=True)

    def receive(self) -> tuple[Any, ...]:
        """The next word: ``ready``; ``said``, number, pickled; ``ended``, number, pickled or None, how.

        Waits for it. Raises EOFError or OSError when the host is gone.
        """
        word = self.line.receive()
        self.ready = True
        return word

    def end(self) -> None:
        """End the host and everything it started; safe to call twice."""
        self.line.close()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(2 * GRACE_SECONDS if self.ready else 0)
        end_family(self._process)


def _for_prints() -> int:
    """Where a user's own model prints to: stdout is for results."""
    try:
        os.fstat(2)
    except OSError:
        return subprocess.DEVNULL
    return 2
