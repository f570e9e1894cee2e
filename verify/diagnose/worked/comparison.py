"""Shift and add three beside what a faulty rule gives, step by step."""

from __future__ import annotations

from collections.abc import Sequence

from verify.diagnose.shift_rule import RIGHT, ShiftRule, steps_of
from verify.models.digits import DIGIT_BITS
from verify.models.shift_and_add import Step
from verify.results import Table

__all__ = ["compared_conversion"]

ROWS_BEFORE = 3
"""Rows shown before the first difference."""

NARROW_DIGITS = 5
"""With more digits than that each is written as one character."""


def compared_conversion(number: int, width: int, digits: int, rule: ShiftRule) -> Table:
    """Both conversions of a ``width``-bit ``number``; rows in which they differ are marked.

    What comes long before the first difference is left out. Raises ValueError when the number does
    not fit.
    """
    right = _by_phase(steps_of(number, width, digits, RIGHT))
    faulty = _by_phase(steps_of(number, width, digits, rule))
    bits = digits <= NARROW_DIGITS
    rows: list[tuple[str, ...]] = []
    marked: list[int] = []
    for phase, (one, other) in enumerate(zip(right, faulty, strict=True)):
        shifting = phase % 2 == 1
        if not shifting and not one.places and not other.places:
            continue
        if one.bcd != other.bcd:
            marked.append(len(rows))
        done = (str(phase // 2 + 1), "shift left") if shifting else ("", "add")
        rows.append((*done, _text(one, digits, bits=bits), _text(other, digits, bits=bits)))
    begin = max(marked[0] - ROWS_BEFORE, 0) if marked else 0
    return Table(
        f"{number} in {width} bits to BCD, shift by shift; a + marks a digit that was added to",
        ("shift", "step", "3 added from 5 on", "the faulty rule"),
        tuple(rows[begin:]),
        frozenset(row - begin for row in marked),
    )


def _by_phase(steps: Sequence[Step]) -> list[Step]:
    """What stands there before every shift, its addition done, and after it; last, what comes out."""
    found: list[Step] = []
    now = steps[0]
    for step in steps[1:]:
        if step.operation == "shift" and len(found) % 2 == 0:
            found.append(Step("add", now.bcd, now.binary))
        found.append(step)
        now = step
    return found if len(found) % 2 else [*found, Step("add", now.bcd, now.binary)]


def _text(step: Step, digits: int, *, bits: bool) -> str:
    """Highest first; a + stands before a digit that has just been corrected."""
    parts = []
    for place in range(digits - 1, -1, -1):
        digit = step.bcd >> DIGIT_BITS * place & 15
        parts.append(("+" if place in step.places else " ") + (f"{digit:04b}" if bits else f"{digit:X}"))
    return "".join(parts)
