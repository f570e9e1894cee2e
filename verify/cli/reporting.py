"""Where results go: people, JSON, JUnit XML."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from verify.ending import Ending
from verify.errors import EveryedgeError, ToolError
from verify.report.closed import OutputClosed
from verify.report.figures import path_text
from verify.report.look import Lines, line
from verify.report.outcome import Outcome
from verify.report.printing import Printer
from verify.report.progress import LiveProgress, PlainProgress, Progress
from verify.report.saving import check_folder, check_writable, save_below, save_text
from verify.report.story import Level, check_lines, closing_lines
from verify.report.trouble import error_lines
from verify.results import CheckResult

if TYPE_CHECKING:
    from verify.checks.settings import SimulatorChoice

__all__ = ["Desk", "Reporting"]

_STANDARD_OUTPUT = Path("-")
_WAVES = "the value change dump"


@dataclass(frozen=True, slots=True)
class Reporting:
    """What was asked for; a file ``-`` is standard output, which people then give up for standard error."""

    json_file: Path | None
    junit_file: Path | None
    simulator: SimulatorChoice
    level: Level
    ending: Ending = field(default_factory=Ending)
    html_file: Path | None = None
    vcd_folder: Path | None = None
    annotate: str | None = None

    @property
    def files(self) -> dict[str, Path]:
        """What is written, in words, and where to."""
        wanted = {
            "the JSON result": self.json_file,
            "the JUnit result": self.junit_file,
            "the page": self.html_file,
        }
        return {what: file for what, file in wanted.items() if file is not None}


class Desk:
    """The streams of one command and all that is said on them."""

    def __init__(self, reporting: Reporting) -> None:
        self.reporting = reporting
        self.errors = Printer(sys.stderr)
        taken = _STANDARD_OUTPUT in reporting.files.values()
        self.people = self.errors if taken else Printer(sys.stdout)

    def check_outputs(self) -> None:
        """Raise before the run what would stop its results from being written."""
        for what, file in self.reporting.files.items():
            if file != _STANDARD_OUTPUT:
                check_writable(file, what)
        if self.reporting.vcd_folder is not None:
            check_folder(self.reporting.vcd_folder, _WAVES)

    def progress(self) -> Progress:
        """A listener that suits the terminal, or the lack of one."""
        if self.reporting.level == "quiet":
            return Progress(self.people, lambda _: [])
        for screen in (self.people, self.errors):
            if screen.live:
                return LiveProgress(self.people, self._said, screen)
        return PlainProgress(self.people, self._said, self.errors)

    def _said(self, check: CheckResult) -> Lines:
        return check_lines(check, self.people.width, self.reporting.level)

    def tell_error(self, error: EveryedgeError) -> None:
        """To standard error."""
        self.errors.print(error_lines(error, self.errors.width))

    def save(self, outcome: Outcome) -> None:
        """Write the results for machines, files before standard output.

        Raises :class:`verify.errors.ToolError`, and :class:`OutputClosed` when nobody reads any more.
        """
        if self.reporting.vcd_folder is not None:
            self._save_waves(outcome, self.reporting.vcd_folder)
        files = self.reporting.files.items()
        for what, file in sorted(files, key=lambda item: item[1] == _STANDARD_OUTPUT):
            text = _TEXTS[what](outcome)
            if file == _STANDARD_OUTPUT:
                _put_out(text, what)
            else:
                save_text(file, text, what)

    def _save_waves(self, outcome: Outcome, folder: Path) -> None:
        from verify.report.waves import dumps  # noqa: PLC0415 -- only what was asked for

        for name, text in dumps(outcome):
            file = save_below(folder, name, text, _WAVES)
            if self.reporting.level != "quiet":
                self.people.print([line(("waves: ", "dim"), path_text(file))])

    def close(self, outcome: Outcome) -> None:
        """The details and the total; before them what a build server is told."""
        if self.reporting.annotate is not None:
            from verify.report.annotations import commands  # noqa: PLC0415 -- as above

            for told in commands(outcome):
                self.people.print([line(told)])
        if outcome.checks or outcome.interrupted:
            self.people.print(closing_lines(outcome, self.people.width, self.reporting.level))


def _put_out(text: str, what: str) -> None:
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        raise OutputClosed from None
    except OSError as error:
        raise ToolError(f"{what} could not be printed: {error.strerror or error}") from None


def _json(outcome: Outcome) -> str:
    from verify.report.jsonform import as_text  # noqa: PLC0415 -- only what was asked for

    return as_text(outcome)


def _junit(outcome: Outcome) -> str:
    from verify.report.junit import as_xml  # noqa: PLC0415 -- only what was asked for

    return as_xml(outcome)


def _html(outcome: Outcome) -> str:
    from verify.report.html import as_html  # noqa: PLC0415 -- only what was asked for

    return as_html(outcome)


_TEXTS = {"the JSON result": _json, "the JUnit result": _junit, "the page": _html}
