"""Grade on a Dask cluster: each submission as one task, which any worker may take over from another."""

from __future__ import annotations

import contextlib
import queue
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.metadata import version
from typing import Any

from verify.checks.engine import LOAD
from verify.errors import EveryedgeError, ToolError
from verify.grading.job import GradeJob, Marked
from verify.grading.running import Settled, limits_of, settled
from verify.grading.submissions import Submission
from verify.grading.task import Task
from verify.workers import Pool, Trouble

__all__ = ["grade_one", "graded_there"]

TRIES = 3
CONNECT_SECONDS = 15


def graded_there(
    task: Task, submissions: Sequence[Submission], *, address: str, seconds: float, page: bool = False
) -> Iterator[Settled]:
    """Each submission as it ends, once, whatever happens to the workers meanwhile.

    The files travel with the tasks: workers need this version of everyedge, a simulator, and no
    common folder. Leaving the iterator takes back what has not begun. Raises
    :class:`verify.errors.ToolError` when the scheduler cannot be reached, is lost, or its workers
    have another version.
    """
    with _connected(address) as client:
        _, as_completed = _dask()
        waiting: dict[Any, tuple[int, int]] = {}
        try:
            jobs = [GradeJob(task, submission, page) for submission in submissions]
            for number, job in enumerate(jobs):
                waiting[_submitted(client, job, seconds, 1)] = (number, 1)
            futures = as_completed(list(waiting))
            for future in futures:
                number, tries = waiting.pop(future)
                outcome = _outcome(client, future)
                died = isinstance(outcome, Trouble) and outcome.kind == "died"
                if died and tries < TRIES:
                    again = _submitted(client, jobs[number], seconds, tries + 1)
                    waiting[again] = (number, tries + 1)
                    futures.add(again)
                    continue
                yield settled(task, submissions[number], outcome)
        finally:
            with contextlib.suppress(Exception):  # the scheduler may be gone
                client.cancel(list(waiting), force=True)


def grade_one(job: GradeJob, seconds: float) -> tuple[str, Marked | EveryedgeError]:
    """On a worker: the version that graded, and the grade, from a process of its own."""
    pools = _idle_pools()
    try:
        pool = pools.get_nowait()
    except queue.Empty:
        pool = Pool(1, limits_of(seconds), load=LOAD)
    pool.add(0, job)
    (finished,) = pool.all()
    pools.put(pool)
    return version("everyedge"), finished.outcome


@cache
def _idle_pools() -> queue.SimpleQueue[Pool]:
    """Processes that have loaded the engine; they end with the worker, which they hear from no more."""
    return queue.SimpleQueue()


def _dask() -> tuple[Any, Any]:
    try:
        from distributed import Client, as_completed  # noqa: PLC0415 -- an extra
    except ImportError:
        raise ToolError(
            "grading on a cluster needs Dask distributed, which is not installed",
            advice="pip install 'everyedge[cluster]'",
        ) from None
    return Client, as_completed


@contextlib.contextmanager
def _connected(address: str) -> Iterator[Any]:
    client_class, _ = _dask()
    try:
        client = client_class(address, timeout=CONNECT_SECONDS)
    except (OSError, ValueError, TypeError, TimeoutError) as error:
        told = str(error).splitlines()
        raise ToolError(
            f"no Dask scheduler answers at {address}" + (f": {told[0]}" if told else ""),
            advice="start one with `dask scheduler`, and workers with `dask worker ADDRESS`",
        ) from None
    try:
        yield client
    finally:
        with contextlib.suppress(Exception):  # nothing is left to be saved
            client.close(timeout=5)


def _submitted(client: Any, job: GradeJob, seconds: float, tries: int) -> Any:
    key = f"everyedge-{job.task.key(job.submission)}-{client.id}-{tries}"
    return client.submit(grade_one, job, seconds, key=key, pure=False, retries=TRIES)


def _outcome(client: Any, future: Any) -> Marked | EveryedgeError:
    """The grade, or why there is none. Raises ToolError for what concerns all of them."""
    try:
        theirs, outcome = future.result()
    except ModuleNotFoundError as error:
        raise ToolError(
            f"the workers of the cluster cannot grade: {error}",
            advice="install everyedge where they run",
        ) from None
    except Exception as error:  # noqa: BLE001 -- a worker may fail in any way
        if client.status != "running" or type(error).__name__ in {"CancelledError", "FutureCancelledError"}:
            raise ToolError(
                "the cluster has gone away", advice="the same command goes on from what is graded"
            ) from None
        return Trouble("died", f"the cluster could not grade it: {type(error).__name__}")
    if theirs != version("everyedge"):
        raise ToolError(
            f"the workers of the cluster have everyedge {theirs}, this is {version('everyedge')}",
            advice="install the same version everywhere",
        )
    return outcome  # type: ignore[no-any-return]
