"""The conversion that a converter got wrong, worked out by shift and add three."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from verify.diagnose.worked import NothingToShow, worked_conversion
from verify.models.digits import DIGIT_BITS
from verify.report.html.figure import Table
from verify.results import CheckResult, Excerpt, Failure

__all__ = ["SheetView", "conversion_view"]

LONGEST_NUMBER_BITS = 64
"""A wider number makes a table that nobody reads."""


@dataclass(frozen=True, slots=True)
class SheetView:
    """A worked computation: facts, a table with the corrections marked, remarks."""

    title: str
    facts: tuple[tuple[str, str], ...]
    table: Table
    remarks: tuple[str, ...]


def conversion_view(check: CheckResult) -> SheetView | None:
    """None unless a converter of a reasonable width shows wrong digits."""
    failure = check.failure
    if check.model != "bcd" or failure is None or failure.excerpt is None or failure.mismatch is None:
        return None
    if failure.mismatch.role.split("[", maxsplit=1)[0] not in {"bcd", "digits"}:
        return None
    binary = next((s for s in failure.excerpt.stimulus.signals if s.name == "binary"), None)
    number = _number(failure, failure.excerpt)
    if binary is None or number is None or binary.width > LONGEST_NUMBER_BITS:
        return None
    try:
        sheet = worked_conversion(number, width=binary.width, digits=_digits(failure.excerpt))
    except NothingToShow:
        return None
    rows = tuple(tuple(cell.strip() or "–" for cell in row.cells) for row in sheet.rows)  # noqa: RUF001
    marked = frozenset(i for i, row in enumerate(sheet.rows) if row.marked)
    return SheetView(
        f"{sheet.title}, as it should go", sheet.facts, Table(sheet.columns, rows, marked), sheet.remarks
    )


def _number(failure: Failure, excerpt: Excerpt) -> int | None:
    """The latest number given to the converter whose digits were due where the difference is."""
    mismatch = failure.mismatch
    if mismatch is None or "-" in mismatch.expected:
        return None
    due = _due(excerpt, mismatch.cycle - excerpt.first)
    stimulus = excerpt.stimulus
    at = next(i for i, s in enumerate(stimulus.signals) if s.name == "binary")
    last = int(
        np.searchsorted(stimulus.starts, max(mismatch.expected_cycle - excerpt.first, 0), side="right")
    )
    limit = 10 ** _digits(excerpt)
    given = [int(v) for v in stimulus.values[at][:last]]
    return next((v for v in reversed(given) if v % limit == due), None)


def _due(excerpt: Excerpt, cycle: int) -> int:
    """The decimal number that the golden model shows in a cycle of the excerpt."""
    expected = excerpt.expected
    row = max(int(np.searchsorted(expected.cycles, cycle, side="right")) - 1, 0)
    number, weight = 0, 1
    for i, signal in enumerate(expected.signals):
        value = int(expected.values[i][row])
        if signal.name == "bcd":
            return sum((value >> DIGIT_BITS * p & 15) * 10**p for p in range(_digits(excerpt)))
        if signal.name.startswith("digits["):
            number += value * weight
            weight *= 10
    return number


def _digits(excerpt: Excerpt) -> int:
    widths = {s.name: s.width for s in excerpt.expected.signals}
    if "bcd" in widths:
        return -(-widths["bcd"] // DIGIT_BITS)
    return sum(name.startswith("digits[") for name in widths)
