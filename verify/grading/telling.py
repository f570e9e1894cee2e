"""All grades on a terminal: a line for each, then what is alike, then the total."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from verify.grading.graded import CheckMark, Graded
from verify.grading.groups import Group, alike
from verify.grading.sheet import marks_text
from verify.report.figures import duration, plural
from verify.report.look import MARKS, VERDICT_STYLES, Lines, fitted, hanging, line, rule
from verify.results import Verdict

__all__ = ["grade_lines", "group_lines", "total_line"]

MOST_NAMED = 6
WIDEST_NAME = 28


def grade_lines(graded: Sequence[Graded], checks: Sequence[str], width: int) -> Lines:
    """A line per submission: name, marks, a sign per check, and why the first check that fails does."""
    name = min(max((cell_len(each.name) for each in graded), default=0), WIDEST_NAME)
    marks = max((len(_marks(each)) for each in graded), default=0)
    lines: Lines = []
    for each in graded:
        verdict = Verdict(each.verdict)
        shown = fitted(each.name, name)
        wrong = next((check for check in each.checks if check.verdict != "pass"), None)
        signs = "".join(MARKS[Verdict(check.verdict)] for check in each.checks)
        head = f"{shown}{' ' * (name - cell_len(shown))}  {_marks(each):>{marks}}  "
        why = "" if wrong is None else _why(wrong, alone=len(each.checks) == 1)
        room = max(width - cell_len(head) - len(signs) - 2, 12)
        lines.append(line(head, (signs, VERDICT_STYLES[verdict]), "  ", (fitted(why, room), "dim")))
    return [*_legend(checks, width), *lines] if graded else lines


def _why(wrong: CheckMark, *, alone: bool) -> str:
    """What is wrong, with the check's name where there is more than one; of an error, where it is."""
    told = wrong.reason if wrong.verdict == "error" else wrong.what or wrong.reason
    return told if alone else f"{wrong.name}: {told}"


def _legend(checks: Sequence[str], width: int) -> Lines:
    named = ", ".join(f"{number} {check}" for number, check in enumerate(checks, 1))
    return [*hanging("signs", named, width, indent=0, column=7), line("")]


def _marks(each: Graded) -> str:
    return f"{marks_text(round(each.marks, 2))}/{marks_text(round(each.out_of, 2))}"


def group_lines(graded: Sequence[Graded], width: int) -> Lines:
    """What two or more go wrong with in the same way, the commonest first."""
    groups = alike(graded, at_least=2)
    lines: Lines = [line(""), rule("alike", width)] if groups else []
    for group in groups:
        lines += hanging("", _told(group), width, indent=0, column=0)
        named = ", ".join(group.members[:MOST_NAMED])
        more = f" and {len(group.members) - MOST_NAMED} more" if len(group.members) > MOST_NAMED else ""
        lines += hanging("", named + more, width, column=0, style="dim")
    return lines


def _told(group: Group) -> str:
    return f"{plural(len(group.members), 'design')}: {group.check}: {group.what}"


def total_line(graded: Sequence[Graded], total: int, seconds: float, done_before: int, width: int) -> Lines:
    """How many came to what; ``done_before``: of them, kept from an earlier run."""
    passed = sum(each.verdict == "pass" for each in graded)
    doubtful = sum(each.doubtful for each in graded)
    parts = [
        f"{len(graded)} of {total} graded" if len(graded) < total else plural(total, "design"),
        f"{passed} pass",
    ]
    parts.append(f"{len(graded) - passed} do not")
    if doubtful:
        parts.append(f"{doubtful} for a person to look at (undecided or error)")
    if done_before:
        parts.append(f"{done_before} of them kept from before")
    text = f"{', '.join(parts)}; {duration(seconds)}"
    return [line(""), *hanging("total", text, width, indent=0, column=7)]
