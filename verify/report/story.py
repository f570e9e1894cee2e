"""What is printed of a run, in order: a line per check as it ends, then the details, then the total."""

from __future__ import annotations

from typing import Literal

from verify.report.fact_words import fact_words
from verify.report.facts import coverage_lines, evidence_lines, fact_lines, gap_lines, scan_lines
from verify.report.failure import detail_lines
from verify.report.figures import path_text
from verify.report.look import Lines, hanging, line
from verify.report.outcome import Outcome
from verify.report.summary import summary_line, total_lines
from verify.results import CheckResult, Verdict

__all__ = ["Level", "check_lines", "closing_lines", "outcome_lines"]

Level = Literal["quiet", "normal", "verbose"]
"""``quiet``: the total only; ``normal``: details of what does not pass; ``verbose``: of everything."""


def check_lines(check: CheckResult, width: int, level: Level) -> Lines:
    """What is said when a check ends. A pass says at once what it does not cover."""
    if level == "quiet":
        return []
    lines = [summary_line(check, width)]
    if check.verdict is Verdict.PASS:
        if level == "verbose":
            lines += fact_lines(check, width, sources=("measured", "pinned", "default", "design"))
            lines += coverage_lines(check, width)
        lines += gap_lines(check, width)
        lines += evidence_lines(check, width) if level == "verbose" else []
    return lines


def closing_lines(outcome: Outcome, width: int, level: Level) -> Lines:
    """What is said when all is done: details of what does not pass, and the total as the last line."""
    lines: Lines = []
    if level != "quiet":
        told = [check for check in outcome.checks if check.verdict is not Verdict.PASS]
        for check in told:
            lines += [line(""), *detail_lines(check, width), *_beneath(check, width, level)]
        lines += [line("")] if told else []
        if len(outcome.checks) > 1:
            lines += [summary_line(check, width) for check in told]
        lines += _pins(outcome, width, level)
    return lines + total_lines(outcome, width)


def outcome_lines(outcome: Outcome, width: int, level: Level) -> Lines:
    """The whole report at once, as if the checks had been told one by one."""
    lines: Lines = []
    several = len(outcome.parts) > 1
    for part in outcome.parts:
        if several and level != "quiet":
            lines.append(line((path_text(part.source), "underline")))
        for check in part.result.checks if part.result is not None else ():
            lines += check_lines(check, width, level)
    return lines + closing_lines(outcome, width, level)


def _beneath(check: CheckResult, width: int, level: Level) -> Lines:
    """What a verdict other than pass rests on; all of it only when asked for."""
    if level == "verbose":
        lines = fact_lines(check, width, sources=("measured", "pinned", "default", "design"))
        lines += coverage_lines(check, width) + gap_lines(check, width)
        return lines + evidence_lines(check, width)
    # The latency stands in the alignment already.
    lines = fact_lines(check, width, sources=("measured",), without=("latency",))
    lines += scan_lines(check, width)
    for number, note in enumerate(check.notes):
        lines += hanging("note" if number == 0 else "", note, width)
    return lines


def _pins(outcome: Outcome, width: int, level: Level) -> Lines:
    """A measured fact is reported, never silently trusted."""
    passing = [check for check in outcome.checks if check.verdict is Verdict.PASS]
    facts = (f for check in passing for f in check.facts if f.source == "measured" and f.pin)
    names = dict.fromkeys(fact_words(f.name) for f in facts)
    if not names or level == "verbose":
        return []
    text = f"measured, as nothing says it: {', '.join(names)} (--verbose shows the lines that pin it)"
    return hanging("", text, width, indent=0, column=0, style="dim")
