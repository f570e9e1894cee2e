"""Run benches in their order, and end with one exit status whatever happens on the way."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from verify.cli.reporting import Desk, Reporting
from verify.cli.status import INTERRUPTED, NOT_STARTED, OUTPUT_CLOSED, status_of
from verify.ending import Ending
from verify.errors import EveryedgeError
from verify.report.closed import OutputClosed
from verify.report.crash import crash_of
from verify.report.figures import path_text
from verify.report.look import line
from verify.report.outcome import Outcome, Part
from verify.results import CheckResult, RunResult

if TYPE_CHECKING:
    from verify.checks.settings import Listener

__all__ = ["Job", "run_jobs"]


@dataclass(frozen=True, slots=True)
class Job:
    """A bench or replay file, and the call that runs it.

    ``untold``: checks that have finished beside others and wait for their turn to be told.
    """

    source: Path
    run: Callable[[Listener], RunResult]
    untold: Callable[[], Sequence[CheckResult]] = tuple


class _Ear:
    """Passes on what it hears and keeps what has finished, should the run not come to its end."""

    def __init__(self, listener: Listener, ending: Ending) -> None:
        self._listener, self._ending = listener, ending
        self.finished: list[CheckResult] = []

    def check_started(self, name: str, expected_clocks: int | None) -> None:
        """Pass it on."""
        self._ending.insist()
        self._listener.check_started(name, expected_clocks)

    def stage(self, name: str, text: str) -> None:
        """Pass it on."""
        self._ending.insist()
        self._listener.stage(name, text)

    def clocks(self, name: str, done: int, total: int | None) -> None:
        """Pass it on."""
        self._ending.insist()
        self._listener.clocks(name, done, total)

    def check_finished(self, result: CheckResult) -> None:
        """Keep it before it is told: telling may fail."""
        self.finished.append(result)
        self._listener.check_finished(result)


def _told(error: Exception) -> EveryedgeError:
    """An error that can be shown; the unexpected becomes one."""
    return error if isinstance(error, EveryedgeError) else crash_of(error)


class _Run:
    """The parts so far, and how it was ended if it was."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.parts: list[Part] = []
        self.ended: int | None = None
        self.ending = desk.reporting.ending

    def all(self, find: Callable[[], Sequence[Job]], source: Path) -> None:
        """Find the jobs and run them until one ends the run."""
        try:
            jobs = find()
        except Exception as error:  # noqa: BLE001 -- reading somebody's files may meet anything
            self._failed(source, None, _told(error))
            return
        for at, job in enumerate(jobs):
            if self.ending.status is not None:
                self.ended = self.ending.status
                self._collect(jobs[at:])
                return
            if len(jobs) > 1 and self.desk.reporting.level != "quiet":
                self.desk.people.print([line((path_text(job.source), "underline"))])
            self._one(job)
            if self.ended is not None:
                self._collect(jobs[at + 1 :])
                return

    def _collect(self, jobs: Sequence[Job]) -> None:
        """What had finished of jobs whose turn never came."""
        for job in jobs:
            if found := tuple(job.untold()):
                self.parts.append(Part(job.source, RunResult(found, job.source)))

    def _one(self, job: Job) -> None:
        progress = self.desk.progress()
        ear = _Ear(progress, self.ending)
        began = time.monotonic()

        def so_far(others: Sequence[CheckResult] = ()) -> RunResult | None:
            seconds, finished = time.monotonic() - began, (*ear.finished, *others)
            return RunResult(finished, job.source, seconds) if finished else None

        try:
            with progress:
                result = job.run(ear)
                heard = {id(check) for check in ear.finished}
                for check in result.checks:
                    if id(check) not in heard:
                        progress.check_finished(check)
        except KeyboardInterrupt:
            self._stopped(job, so_far(job.untold()), self.ending.status or INTERRUPTED)
        except OutputClosed:
            self._stopped(job, so_far(job.untold()), OUTPUT_CLOSED)
        except Exception as error:  # noqa: BLE001 -- one bench must not take the others with it
            if self.ending.status is not None:  # a library made an error of its own of the interrupt
                self._stopped(job, so_far(job.untold()), self.ending.status)
            else:
                self._failed(job.source, so_far(), _told(error))
        else:
            self.parts.append(Part(job.source, result))

    def _stopped(self, job: Job, finished: RunResult | None, status: int) -> None:
        self.ended = status
        self.parts.append(Part(job.source, finished))

    def _failed(self, source: Path, finished: RunResult | None, error: EveryedgeError) -> None:
        self.parts.append(Part(source, finished, error))
        self.desk.tell_error(error)


def run_jobs(find: Callable[[], Sequence[Job]], source: Path, reporting: Reporting) -> int:
    """The exit status of running what ``find`` finds; ``source`` names it should it find nothing.

    Results for machines are written in every case, also after an error or an interrupt.
    """
    desk = Desk(reporting)
    try:
        desk.check_outputs()
    except EveryedgeError as error:
        desk.tell_error(error)
        return NOT_STARTED
    began = time.monotonic()
    run = _Run(desk)
    run.all(find, source)
    outcome = Outcome(tuple(run.parts), time.monotonic() - began, run.ended is not None)
    status = status_of(outcome) if run.ended is None else run.ended
    try:
        desk.save(outcome)
    except EveryedgeError as error:
        desk.tell_error(error)
        status = NOT_STARTED
    except OutputClosed:
        return OUTPUT_CLOSED
    if run.ended != OUTPUT_CLOSED:
        desk.close(outcome)
    return status
