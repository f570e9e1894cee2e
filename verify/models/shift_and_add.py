"""Shift and add three: binary to BCD step by step, as a register would show it.

Also called double dabble. Common practice: before each shift, add 3 to every digit above 4, so that
the doubling carries into the next digit instead of leaving a number above 9.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from verify.models.digits import DIGIT_BITS

__all__ = ["Step", "shift_and_add"]


@dataclass(frozen=True, slots=True)
class Step:
    """The registers after one operation.

    ``operation``: ``start``, ``add`` (3 to each digit in ``places``) or ``shift``. ``bcd``: the
    packed digits; ``binary``: what is left of the number, aligned to the top of its ``width`` bits.
    """

    operation: Literal["start", "add", "shift"]
    bcd: int
    binary: int
    places: tuple[int, ...] = ()


def shift_and_add(number: int, width: int, digits: int) -> tuple[Step, ...]:
    """Every step of converting a ``width``-bit ``number``; the last one holds the result.

    The result is ``number`` modulo ``10 ** digits``. Raises ValueError when the number does not fit.
    """
    if number < 0 or number >> width or digits < 1:
        raise ValueError(f"number={number} width={width} digits={digits}: no such conversion")
    bcd, binary = 0, number
    steps = [Step("start", bcd, binary)]
    for _ in range(width):
        places = tuple(p for p in range(digits) if bcd >> DIGIT_BITS * p & 15 > 4)
        if places:
            bcd += sum(3 << DIGIT_BITS * p for p in places)
            steps.append(Step("add", bcd, binary, places))
        bcd = (bcd << 1 | binary >> width - 1) & (1 << DIGIT_BITS * digits) - 1
        binary = binary << 1 & (1 << width) - 1
        steps.append(Step("shift", bcd, binary))
    return tuple(steps)
