"""What a verdict rests on, and what it does not cover."""

from __future__ import annotations

from verify.report.figures import count
from verify.report.look import Lines, hanging
from verify.report.scan_text import scan_text
from verify.results import CheckResult, CoverageItem, Fact, Speedup
from verify.wording import toml_text

__all__ = [
    "coverage_lines",
    "evidence_lines",
    "fact_lines",
    "gap_lines",
    "pin_text",
    "scan_lines",
    "speedup_text",
]

NAMED = 4


def pin_text(fact: Fact) -> str:
    """The bench line that fixes a fact."""
    return fact.pin or f"{fact.name} = {toml_text(fact.value)}"


def fact_lines(
    check: CheckResult, width: int, *, sources: tuple[str, ...], without: tuple[str, ...] = ()
) -> Lines:
    """One line a fact, as the bench would hold it, under its source; ``without``: names left out."""
    lines: Lines = []
    for source in sources:
        facts = [f for f in check.facts if f.source == source and f.name not in without]
        for number, fact in enumerate(facts):
            lines += hanging(source if number == 0 else "", pin_text(fact), width)
    return lines


def gap_lines(check: CheckResult, width: int) -> Lines:
    """What the verdict does not speak of: outputs nobody watched, inputs nobody moved, things not reached."""
    lines: Lines = []
    if check.unchecked_outputs:
        lines += hanging("unchecked", ", ".join(s.name for s in check.unchecked_outputs), width)
    if check.tied_inputs:
        tied = ", ".join(f"{port} = {value}" for port, value in check.tied_inputs.items())
        lines += hanging("tied", tied, width)
    missing = [item for item in check.coverage.items if item.reached < item.total]
    if missing:
        lines += hanging("unreached", "; ".join(_missing(item) for item in missing), width)
    if check.speedup is not None:
        lines += _speedup(check.speedup, width)
    lines += scan_lines(check, width)
    for number, note in enumerate(check.notes):
        lines += hanging("note" if number == 0 else "", note, width)
    return lines


def scan_lines(check: CheckResult, width: int) -> Lines:
    """How often the digits of a scanned display are lit."""
    return [line for text in scan_text(check.scan) for line in hanging("scan", text, width)]


def coverage_lines(check: CheckResult, width: int) -> Lines:
    """Everything counted, reached or not."""
    items = check.coverage.items
    lines: Lines = []
    for number, item in enumerate(items):
        text = f"{item.name}: {count(item.reached)} of {count(item.total)}"
        lines += hanging("reached" if number == 0 else "", text, width)
    return lines


def evidence_lines(check: CheckResult, width: int) -> Lines:
    """Why the speed-up is believed to be sound."""
    lines: Lines = []
    for number, text in enumerate(check.speedup.evidence if check.speedup is not None else ()):
        lines += hanging("evidence" if number == 0 else "", text, width)
    return lines


def _missing(item: CoverageItem) -> str:
    text = f"{item.name}: {count(item.total - item.reached)} of {count(item.total)}"
    if not item.missing:
        return text
    more = ", …" if len(item.missing) > NAMED else ""
    return f"{text} ({', '.join(item.missing[:NAMED])}{more})"


def speedup_text(speedup: Speedup) -> str:
    """The factor, and what was run to show that it is sound, or was not run."""
    if speedup.factor == 1:
        return "none" if speedup.problems else "none: what was simulated is what is on the board"
    factor = count(speedup.factor)
    if speedup.sound is False:
        return f"{factor}, not sound"
    if speedup.sound:
        return f"{factor}, sound: a second at the native ratio agrees"
    lead = "native second not run: "
    why = next((text.removeprefix(lead) for text in speedup.evidence if text.startswith(lead)), "")
    told = f"{factor}, nothing found against it; a second at the native ratio was not run"
    return f"{told} ({why})" if why else told


def _speedup(speedup: Speedup, width: int) -> Lines:
    if speedup.factor == 1 and not speedup.problems:
        return []
    lines = hanging("speed-up", speedup_text(speedup), width)
    for problem in speedup.problems:
        lines += hanging("", problem, width)
    return lines
