"""Grade many submissions: on this machine, or on a cluster; nothing is lost or counted twice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from verify.checks.engine import LOAD
from verify.errors import EveryedgeError
from verify.grading.graded import Graded
from verify.grading.job import GradeJob, Marked, failed_grade
from verify.grading.submissions import Submission
from verify.grading.task import Task
from verify.workers import Limits, Pool, Trouble

__all__ = ["Settled", "graded_here", "limits_of", "settled"]

TRIES = 2
"""How often a submission is begun whose process is ended from outside."""


@dataclass(frozen=True, slots=True)
class Settled:
    """A grade; ``final``: the same submission would get it again, so that it may be kept."""

    submission: Submission
    graded: Graded
    page: str | None = None
    final: bool = True


def limits_of(seconds: float) -> Limits:
    """What one submission may use."""
    return Limits(seconds=seconds)


def settled(task: Task, submission: Submission, outcome: Marked | EveryedgeError) -> Settled:
    """What a job came to; a submission that used up its time, or died, is tried again another time."""
    if isinstance(outcome, Marked):
        return Settled(submission, outcome.graded, outcome.page)
    return Settled(submission, failed_grade(task, submission.name, outcome.message), final=False)


def graded_here(
    task: Task, submissions: Sequence[Submission], *, jobs: int | None, seconds: float, page: bool = False
) -> Iterator[Settled]:
    """Each submission as it ends, ``jobs`` at a time (None: as many as there are processors).

    Leaving the iterator ends every process.
    """
    tries: dict[int, int] = {}
    with Pool(jobs, limits_of(seconds), load=LOAD) as pool:
        for number, submission in enumerate(submissions):
            pool.add(number, GradeJob(task, submission, page))
        for finished in pool.all():
            number = cast(int, finished.key)
            submission, outcome = submissions[number], finished.outcome
            tries[number] = tries.get(number, 0) + 1
            if isinstance(outcome, Trouble) and outcome.kind == "died" and tries[number] < TRIES:
                pool.add(number, GradeJob(task, submission, page))
                continue
            yield settled(task, submission, outcome)
