"""``everyedge grade``: many designs, one bench, one table."""

from __future__ import annotations

import hashlib
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from verify.cli.grade_progress import GradeProgress
from verify.errors import ToolError
from verify.grading import Graded, Submission, Task, find_submissions
from verify.grading.pages import save_pages
from verify.grading.running import Settled, graded_here
from verify.grading.sheet import as_csv
from verify.grading.state import State
from verify.grading.telling import grade_lines, group_lines, total_line
from verify.report.figures import path_text
from verify.report.look import Lines, line
from verify.report.printing import Printer
from verify.report.saving import check_writable, save_text

__all__ = ["GradeWishes", "grade_folder"]

ALL_GRADED, SOME_DOUBTFUL = 0, 3


@dataclass(frozen=True, slots=True)
class GradeWishes:
    """What was asked for besides the grades. ``seconds`` of wall time for each design."""

    csv_file: Path | None = None
    html_folder: Path | None = None
    state_file: Path | None = None
    cluster: str | None = None
    jobs: int | None = None
    seconds: float = 600.0
    fresh: bool = False
    quiet: bool = False


def grade_folder(folder: Path, task: Task, wishes: GradeWishes) -> int:
    """Grade what is in ``folder``; 0 when every design passes or fails, 3 when one does neither.

    Raises the errors of :mod:`verify.errors`. After an interrupt the table of what is graded is
    printed, and the same call goes on from there.
    """
    _check_outputs(wishes)
    submissions = find_submissions(folder)
    printer = Printer(sys.stdout)
    began = time.monotonic()
    with State(wishes.state_file or _state_file(folder, task)) as state:
        if wishes.fresh:
            state.clear()
        keys = {submission.name: task.key(submission) for submission in submissions}
        grades = {s.name: state.known[keys[s.name]] for s in submissions if keys[s.name] in state.known}
        kept = len(grades)
        missing = [submission for submission in submissions if submission.name not in grades]
        run = _runner(task, missing, wishes)
        try:
            with GradeProgress(len(submissions), kept) as progress:
                for settled in run() if missing else ():
                    if settled.final:
                        state.add(keys[settled.submission.name], settled.graded)
                    grades[settled.submission.name] = settled.graded
                    progress.one_more(settled.graded)
        except KeyboardInterrupt:
            printer.print(_told(submissions, grades, task, began, kept, printer, wishes))
            Printer(sys.stderr).print(_resumption(state))
            raise
    ordered = [grades[submission.name] for submission in submissions]
    _save(ordered, folder, task, wishes)
    printer.print(_told(submissions, grades, task, began, kept, printer, wishes))
    return SOME_DOUBTFUL if any(each.doubtful for each in ordered) else ALL_GRADED


def _runner(
    task: Task, missing: Sequence[Submission], wishes: GradeWishes
) -> Callable[[], Iterator[Settled]]:
    if wishes.cluster is None:
        return lambda: graded_here(task, missing, jobs=wishes.jobs, seconds=wishes.seconds)
    from verify.grading.cluster import graded_there  # noqa: PLC0415 -- an extra, and heavy

    address = wishes.cluster
    return lambda: graded_there(task, missing, address=address, seconds=wishes.seconds)


def _state_file(folder: Path, task: Task) -> Path:
    """Beside the bench, and one for each pair of folder and bench."""
    pair = f"{folder.resolve()}\0{task.bench.resolve()}"
    digest = hashlib.sha256(pair.encode(errors="surrogateescape")).hexdigest()[:12]
    return task.bench.resolve().parent / ".everyedge" / "grades" / f"{folder.resolve().name}-{digest}.jsonl"


def _check_outputs(wishes: GradeWishes) -> None:
    """Say before hours of grading what would stop its results from being written."""
    if wishes.csv_file is not None:
        check_writable(wishes.csv_file, "the table of grades")
    if wishes.html_folder is not None:
        try:
            (wishes.html_folder / "designs").mkdir(parents=True, exist_ok=True)
        except OSError as error:
            shown = path_text(wishes.html_folder)
            raise ToolError(f"the pages cannot be written to {shown}: {error.strerror}") from None


def _save(ordered: Sequence[Graded], folder: Path, task: Task, wishes: GradeWishes) -> None:
    if wishes.csv_file is not None:
        save_text(wishes.csv_file, as_csv(ordered, task.wanted), "the table of grades")
    if wishes.html_folder is not None:
        title = f"{folder.resolve().name}: {task.bench.name}"
        save_pages(wishes.html_folder, ordered, task.wanted, title)


def _told(
    submissions: Sequence[Submission],
    grades: dict[str, Graded],
    task: Task,
    began: float,
    kept: int,
    printer: Printer,
    wishes: GradeWishes,
) -> Lines:
    ordered = [grades[submission.name] for submission in submissions if submission.name in grades]
    lines: Lines = []
    if not wishes.quiet:
        lines += grade_lines(ordered, task.wanted, printer.width) + group_lines(ordered, printer.width)
    seconds = time.monotonic() - began
    return lines + total_line(ordered, len(submissions), seconds, kept, printer.width)


def _resumption(state: State) -> Lines:
    text = (
        f"interrupted; what is graded is kept in {path_text(state.file)}: the same command goes on from there"
    )
    return [line((text, "dim"))]
