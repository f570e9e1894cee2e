"""All grades as a table for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from verify.grading.graded import Graded
from verify.grading.groups import alike
from verify.report.figures import clean

__all__ = ["as_csv", "marks_text"]

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def as_csv(graded: Sequence[Graded], checks: Sequence[str]) -> str:
    """A row per submission: marks, verdict, and for each check its verdict, reason and group.

    A group's number stands beside every submission that goes wrong in the same way; it is empty
    for a pass.
    """
    groups = {
        (group.check, member): number
        for number, group in enumerate(alike(graded), 1)
        for member in group.members
    }
    stream = io.StringIO()
    rows = csv.writer(stream, lineterminator="\n")
    head = ["submission", "marks", "out of", "percent", "verdict"]
    for name in checks:
        head += [name, f"{name}: why", f"{name}: group"]
    rows.writerow([_cell(text) for text in head])
    for each in graded:
        percent = f"{100 * each.marks / each.out_of:.1f}" if each.out_of else ""
        row = [_cell(each.name), marks_text(each.marks), marks_text(each.out_of), percent, each.verdict]
        for check in each.checks:
            why = "" if check.verdict == "pass" else check.reason
            if check.verdict == "fail" and check.what:
                why = f"{why}; {check.what}"
            row += [check.verdict, _cell(why), str(groups.get((check.name, each.name), ""))]
        rows.writerow(row)
    return stream.getvalue()


def marks_text(marks: float) -> str:
    """``3`` or ``2.5``."""
    return f"{marks:g}"


def _cell(text: str) -> str:
    """Text from a submission never becomes a formula."""
    text = clean(text)
    return f"'{text}" if text.startswith(_FORMULA) else text
