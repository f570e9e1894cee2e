"""The report as plain text, for whoever is not a terminal."""

from __future__ import annotations

from pathlib import Path

from verify.errors import EveryedgeError
from verify.report.facts import fact_lines
from verify.report.failure import detail_lines
from verify.report.look import Lines, hanging
from verify.report.outcome import Outcome, Part
from verify.report.story import Level, check_lines, outcome_lines
from verify.report.trouble import error_lines
from verify.results import CheckResult, RunResult, Verdict

__all__ = ["check_text", "error_text", "report_text"]

WIDTH = 80
"""Characters of a line, unless asked for otherwise."""


def report_text(result: RunResult | CheckResult, *, width: int = WIDTH, level: Level = "normal") -> str:
    """What ``everyedge check`` prints of a run, or of one check, without colour.

    ``width`` in characters; ``level``: ``"quiet"`` (the total), ``"normal"`` or ``"verbose"``.
    """
    if isinstance(result, CheckResult):
        return check_text(result, width=width)
    outcome = Outcome((Part(result.bench or Path(), result),), result.seconds)
    return plain(outcome_lines(outcome, width, level))


def check_text(check: CheckResult, *, width: int = WIDTH) -> str:
    """The whole story of one check; of one that passes, its line and what it does not cover."""
    if check.verdict is Verdict.PASS:
        return plain(check_lines(check, width, "normal"))
    lines = detail_lines(check, width)
    lines += fact_lines(check, width, sources=("measured",), without=("latency",))
    for number, note in enumerate(check.notes):
        lines += hanging("note" if number == 0 else "", note, width)
    return plain(lines)


def error_text(error: EveryedgeError, *, width: int = WIDTH) -> str:
    """Position first, then the message, the source line and the advice."""
    return plain(error_lines(error, width))


def plain(lines: Lines) -> str:
    """The characters of lines that are laid out already."""
    return "\n".join(text.plain.rstrip() for text in lines)
