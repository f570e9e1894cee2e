"""Grade one submission: the job of one process."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any

from verify.bench import Bench
from verify.bench.load import bench_of
from verify.bench.places import Places
from verify.checks.settings import SilentListener
from verify.errors import BenchError, DesignError, EveryedgeError, Place
from verify.grading.adapting import adapted
from verify.grading.by_meaning import by_meaning
from verify.grading.graded import CheckMark, Graded, mark_of
from verify.grading.names import Names, parse_names
from verify.grading.submissions import NAMES_FILE, SOURCE_SUFFIXES, Content, Submission
from verify.grading.task import Task
from verify.report.outcome import Outcome, Part
from verify.report.telling import check_text, error_text
from verify.results import CheckResult, RunResult, Verdict
from verify.simulation.scratch import Scratch
from verify.watching.touching import needed_files
from verify.workers import Tell

__all__ = ["GradeJob", "Marked", "error_mark", "failed_grade"]

WIDTH = 100
"""Characters of a line of the reports."""

OF_NAMES = f"if this design calls it otherwise, say so in its {NAMES_FILE}"


@dataclass(frozen=True, slots=True)
class GradeJob:
    """A submission, and what it is held against."""

    task: Task
    submission: Submission
    page: bool = False
    """Whether a page is wanted, with pictures."""

    def run(self, tell: Tell | None = None) -> Marked:
        """Lay the files out in a folder of their own and run every check. Changes the working folder."""
        del tell
        began = time.monotonic()
        if self.submission.problem:
            return Marked(failed_grade(self.task, self.submission.name, self.submission.problem))
        scratch = Scratch({})
        try:
            os.chdir(scratch.directory)
            desk = _Desk(self.task, self.submission)
            checks = tuple(desk.marks())
            page = desk.page() if self.page else None
        finally:
            os.chdir("/")
            scratch.close()
        return Marked(Graded(self.submission.name, checks, round(time.monotonic() - began, 3)), page)


@dataclass(frozen=True, slots=True)
class Marked:
    """A grade and, if it was wanted, the page that shows it: as that of any run, but for the way back."""

    graded: Graded
    page: str | None = None


class _Desk:
    """One submission laid out below the working folder."""

    def __init__(self, task: Task, submission: Submission) -> None:
        self._task, self._tables = task, task.tables
        self._folder = Path(submission.name)
        given = {PurePosixPath(path).name for path, _ in task.provided}
        own = tuple(part for part in submission.content if PurePosixPath(part[0]).name not in given)
        _lay_out(self._folder, own)
        _lay_out(Path(".provided"), task.provided)
        self._include = [f"../.include{number}" for number in range(len(task.include))]
        for number, content in enumerate(task.include):
            _lay_out(Path(f".include{number}"), content)
        self._sources = {self._folder / path: data for path, data in own if _is_source(path)}
        self._sources |= {Path(".provided") / p: data for p, data in task.provided if _is_source(p)}
        self._names = dict(submission.content).get(NAMES_FILE)
        self._parts: list[Part] = []

    def marks(self) -> Iterator[CheckMark]:
        """Every check, each on its own: one that cannot be started leaves the others alone."""
        names: Names | BenchError
        try:
            names = Names() if self._names is None else parse_names(self._names, self._folder / NAMES_FILE)
        except BenchError as error:
            names = error
        only = self._task.settings.only
        for index, (name, weight) in enumerate(zip(self._task.names, self._task.weights, strict=True)):
            if only and name not in only:
                continue
            try:
                if isinstance(names, BenchError):
                    raise names
                result = replace(self._checked(index, names), replay=None)
            except EveryedgeError as error:
                self._parts.append(Part(Path(name), error=error))
                detail = error_text(error, width=WIDTH)
                yield error_mark(name, weight, error.message, detail, error.place)
            else:
                result = replace(result, name=name)
                self._parts.append(Part(self._folder, RunResult((result,), seconds=result.seconds)))
                yield mark_of(result, weight, check_text(result, width=WIDTH))

    def page(self) -> str:
        """What the marks rest on, with pictures."""
        from verify.report.html import as_html  # noqa: PLC0415 -- only when it is wanted

        results = [check for part in self._parts if part.result for check in part.result.checks]
        seconds = sum(result.seconds for result in results)
        whole = Part(self._folder, RunResult(tuple(results), seconds=seconds))
        stopped = [part for part in self._parts if part.error is not None]
        return as_html(Outcome((*([whole] if results else []), *stopped), seconds))

    def _checked(self, index: int, names: Names) -> CheckResult:
        """As the names say; where they do not fit and none were given, as the design itself says."""
        try:
            return self._run(index, adapted(self._tables, index, names))
        except BenchError as error:
            guess = None if self._names is not None else self._by_meaning(index)
            if guess is None:
                advice = OF_NAMES if error.advice is None else f"{error.advice}\n{OF_NAMES}"
                raise BenchError(error.message, place=error.place, advice=advice) from None
        tables, note = guess
        result = self._run(index, tables)
        return replace(result, notes=(*result.notes, note))

    def _by_meaning(self, index: int) -> tuple[dict[str, Any], str] | None:
        try:
            return by_meaning(self._tables, index, tuple(self._sources))
        except EveryedgeError:
            return None

    def _run(self, index: int, tables: Mapping[str, Any]) -> CheckResult:
        # Loads the engine.
        from verify.checks.bench_run import run_check  # noqa: PLC0415 -- as above

        bench = self._bench(tables, tables["check"][index])
        here = self._folder / "bench.toml"
        settings = replace(self._task.settings, only=())
        return run_check(bench, bench.checks[index], here, settings, SilentListener())

    def _bench(self, tables: Mapping[str, Any], check: Mapping[str, Any]) -> Bench:
        """The bench over as many of the submission's files as the check's module needs: no testbenches."""
        if not self._sources:
            raise DesignError("there is no Verilog in it")
        design = tables["design"]
        module = check.get("module", design.get("top"))
        files = sorted(needed_files(module, self._sources, self._sources))
        tables = {**tables, "design": {**design, "sources": _written(files, self._folder)}}
        tables["design"].pop("include", None)
        if self._include:
            tables["design"]["include"] = self._include
        places = Places.read(self._task.bench, self._task.text)
        return bench_of(tables, self._folder, path=self._task.bench, places=places)


def _written(files: Sequence[Path], folder: Path) -> list[str]:
    return [os.path.relpath(file, folder) for file in files]


def _is_source(path: str) -> bool:
    return PurePosixPath(path).suffix.lower() in SOURCE_SUFFIXES


def _lay_out(folder: Path, content: Content) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for path, data in content:
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)


def error_mark(name: str, weight: float, message: str, detail: str, place: Place | None = None) -> CheckMark:
    """A check that could not be run; the same error is alike wherever it stands."""
    what = message.splitlines()[0] if message else "it could not be run"
    at = "" if place is None or place.line is None else f"{place.file.name}:{place.line}: "
    return CheckMark(
        name, Verdict.ERROR.value, weight, at + what, what=what, likeness=f"error {what}", detail=detail
    )


def failed_grade(task: Task, name: str, message: str, seconds: float = 0.0) -> Graded:
    """A submission of which no check could be run."""
    pairs = zip(task.names, task.weights, strict=True)
    wanted = [
        (check, weight) for check, weight in pairs if not task.settings.only or check in task.settings.only
    ]
    return Graded(
        name, tuple(error_mark(check, weight, message, message) for check, weight in wanted), seconds
    )
