"""In the process that was forked for one job: do it, say what it came to, and leave."""

from __future__ import annotations

import os
import pickle
import resource
import signal
import sys
import threading
from functools import partial
from multiprocessing.connection import Connection
from types import FrameType
from typing import Any, NoReturn

from verify.ending import Ending
from verify.errors import EveryedgeError
from verify.report.crash import crash_of
from verify.workers.jobs import Job, Limits, Trouble

__all__ = ["GRACE_SECONDS", "OUTCOME", "SAID", "do_job"]

SAID, OUTCOME = b"s", b"o"
"""The first byte of a message says what the rest is, pickled."""

GRACE_SECONDS = 1.0
"""What a job that is stopped gets to put away its compilers and folders before it is killed."""


class _Stopped(BaseException):
    """Nobody wants the job any more: leave by the way of a Ctrl-C, so that everything is put away."""


def do_job(message: bytes, answer: Connection, lifeline: int) -> NoReturn:
    """Do the pickled job and leave, without the exit handlers of the process that was forked.

    ``lifeline``: a pipe whose other end closes with that process; the job is then stopped.
    """
    status = 1
    try:
        _leave_when_stopped()
        threading.Thread(target=_end_with, args=(lifeline,), daemon=True).start()
        job, limits = pickle.loads(message)  # noqa: S301 -- from the process that started us
        _limit(limits)

        def tell(said: Any) -> None:
            answer.send_bytes(SAID + pickle.dumps(said))

        answer.send_bytes(OUTCOME + _outcome(job, tell))
        status = 0
    except _Stopped:
        pass
    finally:
        # At once: a library would complain of objects that are left.
        os._exit(status)


def _leave_when_stopped() -> None:
    ending = Ending(_Stopped)

    def stop(number: int, frame: FrameType | None) -> None:
        signal.signal(signal.SIGTERM, signal.SIG_IGN)  # whatever is put away now is put away whole
        ending.hear(number, frame)

    signal.signal(signal.SIGTERM, stop)
    sys.unraisablehook = partial(ending.catch_up, sys.unraisablehook)


def _end_with(lifeline: int) -> None:
    os.read(lifeline, 1)
    os.kill(os.getpid(), signal.SIGTERM)
    threading.Event().wait(GRACE_SECONDS)
    os.kill(os.getpid(), signal.SIGKILL)


def _limit(limits: Limits) -> None:
    if limits.memory_bytes is None:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    if hard == resource.RLIM_INFINITY or hard > limits.memory_bytes:
        resource.setrlimit(resource.RLIMIT_AS, (limits.memory_bytes, hard))


def _outcome(job: Job, tell: Any) -> bytes:
    """What the job returns or raises, pickled."""
    try:
        return pickle.dumps(job.run(tell))
    except EveryedgeError as error:
        return pickle.dumps(error)
    except MemoryError:
        return pickle.dumps(Trouble("limit", "checking it takes more memory than is allowed"))
    except Exception as error:  # noqa: BLE001 -- one job must not take the others with it
        return pickle.dumps(crash_of(error))
