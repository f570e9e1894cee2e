"""Shift and add three with the rule as a parameter, so that a wrong rule can be played too.

The right rule gives what :func:`verify.models.shift_and_add.shift_and_add` gives
(``tests/diagnose/test_shift_rule.py``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from verify.models.digits import DIGIT_BITS
from verify.models.shift_and_add import Step
from verify.signals import Column
from verify.signals.columns import INT64_BITS

__all__ = ["RIGHT", "ShiftRule", "convert_columns", "steps_of"]

DIGIT_MASK = (1 << DIGIT_BITS) - 1


@dataclass(frozen=True, slots=True)
class ShiftRule:
    """How a converter corrects its digits.

    ``threshold``: the smallest digit that is corrected. ``addend``: what a correction adds.
    ``skipped``: places (0: ones) that are never corrected. ``after_last``: the digits are corrected
    once more after the last shift. ``carries``: a correction beyond 15 carries into the next
    digit; otherwise it is lost. ``only``: the places to which threshold and addend apply, while
    the others are corrected as usual; none: all of them.
    """

    threshold: int = 5
    addend: int = 3
    skipped: tuple[int, ...] = ()
    after_last: bool = False
    carries: bool = False
    only: tuple[int, ...] = ()

    def at(self, place: int) -> tuple[int, int]:
        """Threshold and addend of the digit at ``place``."""
        usual = self.only and place not in self.only
        return (RIGHT.threshold, RIGHT.addend) if usual else (self.threshold, self.addend)


RIGHT = ShiftRule()
"""Common practice: 3 is added to every digit above 4, before each shift."""


def steps_of(number: int, width: int, digits: int, rule: ShiftRule = RIGHT) -> tuple[Step, ...]:
    """Every step of converting a ``width``-bit ``number`` under ``rule``; the last one holds the result.

    Raises ValueError when the number does not fit.
    """
    if number < 0 or number >> width or digits < 1:
        raise ValueError(f"number={number} width={width} digits={digits}: no such conversion")
    bcd, binary = 0, number
    steps = [Step("start", bcd, binary)]
    for shifted in range(width + 1):
        if shifted == width and not rule.after_last:
            break
        places = tuple(p for p in range(digits) if _corrected(bcd >> DIGIT_BITS * p & DIGIT_MASK, p, rule))
        if places:
            bcd = _add(bcd, places, digits, rule)
            steps.append(Step("add", bcd, binary, places))
        if shifted < width:
            bcd = (bcd << 1 | binary >> width - 1) & (1 << DIGIT_BITS * digits) - 1
            binary = binary << 1 & (1 << width) - 1
            steps.append(Step("shift", bcd, binary))
    return tuple(steps)


def _corrected(digit: int, place: int, rule: ShiftRule) -> bool:
    return digit >= rule.at(place)[0] and place not in rule.skipped


def _add(bcd: int, places: tuple[int, ...], digits: int, rule: ShiftRule) -> int:
    if rule.carries:
        added = sum(rule.at(p)[1] << DIGIT_BITS * p for p in places)
        return (bcd + added) & (1 << DIGIT_BITS * digits) - 1
    for p in places:
        digit = (bcd >> DIGIT_BITS * p) + rule.at(p)[1] & DIGIT_MASK
        bcd = bcd & ~(DIGIT_MASK << DIGIT_BITS * p) | digit << DIGIT_BITS * p
    return bcd


def convert_columns(numbers: Column, width: int, digits: int, rule: ShiftRule = RIGHT) -> tuple[Column, ...]:
    """The digits that ``rule`` leaves for every number, least significant first, int64 each."""
    wide = width > INT64_BITS
    places: list[Any] = [np.zeros(len(numbers), np.int64) for _ in range(digits)]
    for shifted in range(width + 1):
        if shifted == width and not rule.after_last:
            break
        places = _correct_columns(places, rule)
        if shifted < width:
            incoming: Any = numbers >> width - 1 - shifted & 1
            carry = incoming.astype(np.int64) if wide else incoming
            for p, digit in enumerate(places):
                places[p], carry = (digit << 1 | carry) & DIGIT_MASK, digit >> 3 & 1
    return tuple(places)


def _correct_columns(places: list[Any], rule: ShiftRule) -> list[Any]:
    chosen = [
        np.zeros(len(d), np.int64) if p in rule.skipped else np.where(d >= rule.at(p)[0], rule.at(p)[1], 0)
        for p, d in enumerate(places)
    ]
    if not rule.carries:
        return [(d + more) & DIGIT_MASK for d, more in zip(places, chosen, strict=True)]
    corrected, carry = [], np.zeros(len(places[0]), np.int64)
    for digit, more in zip(places, chosen, strict=True):
        total = digit + more + carry
        corrected.append(total & DIGIT_MASK)
        carry = total >> DIGIT_BITS
    return corrected
