"""The far end: a process that has loaded the engine and forks for each job.

Forking makes a job cost milliseconds instead of the seconds that loading takes, and leaves nothing
of one job to the next. It is done here and not in the process that asks, because that one may have
threads. Runs as ``main(descriptor)`` of a fresh interpreter, see :mod:`verify.workers.worker`.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import resource
import signal
import warnings
from multiprocessing.connection import Connection, Pipe, wait
from typing import Any, NoReturn

from verify.cli.crash import crash_of
from verify.errors import EveryedgeError
from verify.workers.jobs import Job, Limits, Trouble, trouble_of

__all__ = ["CANCEL", "READY", "main"]

READY, CANCEL = b"ready", b"cancel"


def main(descriptor: int) -> None:
    """Serve jobs that come over the socket ``descriptor`` until its other end closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for whoever asks; it then ends us
    asker = Connection(descriptor)
    _load()
    with contextlib.suppress(EOFError, OSError):
        asker.send_bytes(READY)
        while True:
            message = asker.recv_bytes()
            if message != CANCEL:  # one that came too late
                with contextlib.suppress(Exception):
                    pickle.loads(message)  # noqa: S301 -- loads its modules here, once for all jobs
                asker.send_bytes(_outcome(asker, message))


def _load() -> None:
    """What jobs need, loaded once for all of them."""
    import verify.checks.bench_run  # noqa: PLC0415, F401 -- after the signals


def _outcome(asker: Connection, message: bytes) -> bytes:
    """Fork, wait, and give back what the job came to, pickled."""
    ours, theirs = Pipe(duplex=False)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of forking beside threads: there are none
        child = os.fork()
    if child == 0:
        ours.close()
        asker.close()
        _work(message, theirs)
    theirs.close()
    cancelled = False
    result: bytes | None = None
    try:
        while result is None:
            ready = wait([asker, ours])
            if asker in ready:
                cancelled = asker.recv_bytes() == CANCEL  # EOFError: nobody is waiting any more
                break
            try:
                result = ours.recv_bytes()
            except EOFError:
                break
    finally:
        ours.close()
        if result is None and not _gone(child):
            os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    if cancelled:
        return pickle.dumps(Trouble("cancelled", "cancelled"))
    if result is None:
        return pickle.dumps(Trouble("died", _how(status), advice="run it again; see that there is memory"))
    return result


def _gone(child: int) -> bool:
    """Whether the child has ended by itself; it is not reaped by looking."""
    return os.waitid(os.P_PID, child, os.WEXITED | os.WNOHANG | os.WNOWAIT) is not None


def _how(status: int) -> str:
    if os.WIFSIGNALED(status):
        name = signal.Signals(os.WTERMSIG(status)).name
        return f"the process that checked it was ended by {name}"
    return f"the process that checked it ended with status {os.waitstatus_to_exitcode(status)} and no result"


def _work(message: bytes, answer: Connection) -> NoReturn:
    """In the child: do the job, answer, and leave without the parent's exit handlers."""
    status = 1
    try:
        job, limits = pickle.loads(message)  # noqa: S301 -- from the process that started us
        _limit(limits)
        answer.send_bytes(pickle.dumps(_done(job)))
        status = 0
    finally:
        os._exit(status)


def _limit(limits: Limits) -> None:
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    if hard == resource.RLIM_INFINITY or hard > limits.memory_bytes:
        resource.setrlimit(resource.RLIMIT_AS, (limits.memory_bytes, hard))


def _done(job: Job) -> Any:
    try:
        return job.run()
    except EveryedgeError as error:
        return trouble_of(error)
    except MemoryError:
        return Trouble("limit", "checking it takes more memory than is allowed")
    except Exception as error:  # noqa: BLE001 -- one job must not take the others with it
        return trouble_of(crash_of(error))
