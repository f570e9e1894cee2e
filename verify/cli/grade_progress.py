"""How far the grading has come: a bar on a terminal, now and then a line elsewhere."""

from __future__ import annotations

import sys
import time
from types import TracebackType

from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from verify.grading.graded import Graded
from verify.report.figures import duration
from verify.report.look import line
from verify.report.printing import Printer

__all__ = ["GradeProgress"]

PLAIN_SECONDS = 10.0


class GradeProgress:
    """A context manager; ``total`` designs, of which ``kept`` are done already."""

    def __init__(self, total: int, kept: int) -> None:
        self._total, self._kept, self._done = total, kept, kept
        self._errors = Printer(sys.stderr)
        self._began = self._told = time.monotonic()
        columns = (BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(), TextColumn("{task.description}"))
        self._bar = Progress(
            *columns, console=self._errors.console, transient=True, disable=not self._errors.live
        )
        self._task = self._bar.add_task("", total=total, completed=kept)

    def one_more(self, graded: Graded) -> None:
        """A design has its grade."""
        self._done += 1
        self._bar.update(self._task, completed=self._done, description=graded.name)
        now = time.monotonic()
        if self._errors.live or now - self._told < PLAIN_SECONDS:
            return
        self._told = now
        rate = (self._done - self._kept) / max(now - self._began, 1e-6)
        left = duration((self._total - self._done) / rate)
        text = f"{self._done} of {self._total} designs, {60 * rate:.0f} a minute, {left} left"
        self._errors.print([line((text, "dim"))])

    def __enter__(self) -> GradeProgress:
        self._bar.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._bar.stop()
