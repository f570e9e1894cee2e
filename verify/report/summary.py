"""A line for each check, and one for all of them."""

from __future__ import annotations

from collections import Counter

from rich.cells import cell_len
from rich.text import Text

from verify.report.figures import count, duration, plural, rate
from verify.report.look import MARKS, VERDICT_STYLES, Lines, fitted, hanging, line
from verify.report.outcome import Outcome
from verify.report.values import cell_text
from verify.results import CheckResult, Verdict

__all__ = ["short_text", "summary_line", "tally_text", "total_lines"]

NAME = 20
"""Least room for a name, so that the lines of one run align."""

_WORDS = {
    Verdict.PASS: ("passes", "pass"),
    Verdict.FAIL: ("fails", "fail"),
    Verdict.UNDECIDED: ("is undecided", "are undecided"),
}


def summary_line(check: CheckResult, width: int) -> Text:
    """Verdict, name, and what was measured, in one line."""
    head = f"{MARKS[check.verdict]} {check.verdict.value:<9} "
    name = fitted(check.name, max(width // 2 - len(head), 12))
    name += " " * max(min(NAME, width // 4) - cell_len(name), 0)
    room = width - len(head) - cell_len(name) - 2
    return line((head, VERDICT_STYLES[check.verdict]), (name, "bold"), "  ", short_text(check, room))


def short_text(check: CheckResult, room: int) -> str:
    """As many of the facts as fit, most telling first."""
    if check.verdict is not Verdict.PASS:
        kind = check.failure.kind if check.failure is not None and check.verdict is Verdict.FAIL else ""
        plain = kind in {"mismatch", "unknown_value"}
        told = (plain and _first_difference(check, room)) or check.reason
        return fitted(told, room)
    facts = [] if check.latency is None else [f"latency {check.latency}"]
    facts += [plural(check.cycles, "clock"), rate(check.cycles, check.seconds), duration(check.seconds)]
    facts = [fact for fact in facts if fact]
    while len(facts) > 1 and len(" · ".join(facts)) > room:
        facts.pop()
    return fitted(" · ".join(facts), room)


def _first_difference(check: CheckResult, room: int) -> str:
    mismatch = check.failure.mismatch if check.failure is not None else None
    if mismatch is None:
        return ""
    expected, observed = (cell_text(bits, mismatch.role) for bits in (mismatch.expected, mismatch.observed))
    told = f"cycle {count(mismatch.cycle)}, {mismatch.port}: expected {expected}, observed {observed}"
    return told if len(told) <= room else f"cycle {count(mismatch.cycle)}, {mismatch.port} differs"


def total_lines(outcome: Outcome, width: int) -> Lines:
    """The verdict over all, in one line (more only where it is too narrow)."""
    verdict = outcome.verdict
    clocks = sum(check.cycles for check in outcome.checks)
    text = f"{tally_text(outcome)}: {plural(clocks, 'clock')} compared in {duration(outcome.seconds)}"
    head = f"{MARKS[verdict]} {verdict.value}"
    lines = hanging(head, text, width, indent=0, column=12)
    lines[0].stylize(VERDICT_STYLES[verdict], 0, len(head))
    return lines


def tally_text(outcome: Outcome) -> str:
    """How many checks came to which verdict, worst first."""
    tally = Counter(check.verdict for check in outcome.checks)
    tally[Verdict.ERROR] += sum(part.error is not None for part in outcome.parts)
    parts: list[str] = []
    for each in (Verdict.FAIL, Verdict.UNDECIDED, Verdict.PASS):
        if number := tally[each]:
            noun = "" if parts else " check" if number == 1 else " checks"
            parts.append(f"{count(number)}{noun} {_WORDS[each][number != 1]}")
    asked = sum(part.error is not None and part.error.kind == "question" for part in outcome.parts)
    if tally[Verdict.ERROR] > asked:
        parts.insert(0, f"{count(tally[Verdict.ERROR] - asked)} could not start")
    if asked:
        parts.insert(0, f"{plural(asked, 'question')} to answer first")
    if outcome.interrupted:
        parts.append("interrupted")
    return ", ".join(parts) or "nothing was checked"
