"""Decimal digits of binary numbers, and the ports on which they come out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from verify.models.family import OptionError
from verify.models.golden import Values
from verify.signals import Column, Signal, column
from verify.signals.columns import INT64_BITS

__all__ = ["DIGIT_BITS", "DigitPorts", "decimal_columns", "decimal_digits", "largest_digit"]

DIGIT_BITS = 4
"""Bits of a BCD digit."""


def decimal_digits(number: Any, count: int) -> tuple[Any, ...]:
    """The lowest ``count`` decimal digits of ``number``, least significant first."""
    return tuple(number // 10**place % 10 for place in range(count))


def decimal_columns(numbers: Column, count: int) -> tuple[Column, ...]:
    """The lowest ``count`` decimal digits of every number, one int64 column each."""
    digits = []
    rest: Any = numbers
    for _ in range(count):
        higher = rest // 10
        digits.append((rest - 10 * higher).astype(np.int64))
        rest = higher
    return tuple(digits)


def largest_digit(limit: int, place: int) -> int:
    """The largest digit at ``place`` (0: ones) among the numbers from 0 to ``limit``."""
    return int(min(limit // 10**place, 9))


@dataclass(frozen=True, slots=True)
class DigitPorts:
    """The ports of a number in decimal, least significant digit first.

    ``widths``: of the separate ports, or the one width of a packed port of four bits a digit, whose
    top digit may be cut short. ``count``: digits that the number has; bits above them are 0.
    """

    packed: bool
    widths: tuple[int, ...]
    count: int

    @classmethod
    def of(cls, *, packed: bool, widths: tuple[int, ...], count: int | None, limit: int) -> DigitPorts:
        """The ports for numbers up to ``limit`` (before digits that there is no room for are dropped).

        ``count`` None: as many digits as the ports hold. Raises :class:`OptionError` when a port is
        too narrow for its digit or the number of ports is not ``count``.
        """
        room = -(-widths[0] // DIGIT_BITS) if packed else len(widths)
        if count is None:
            count = room
        if count > room or (not packed and count != room):
            found = f"{room} digit ports" if not packed else f"a port of {widths[0]} bits"
            need = f"{count} of them" if not packed else f"{DIGIT_BITS * count} bits for {count} digits"
            raise OptionError("digits" if not packed else "bcd", found, need)
        ports = cls(packed, widths, count)
        ports._check_room(min(limit, 10**count - 1))
        return ports

    def _check_room(self, limit: int) -> None:
        for place in range(self.count):
            largest = largest_digit(limit, place)
            room = min(DIGIT_BITS, self.widths[0] - DIGIT_BITS * place) if self.packed else self.widths[place]
            if largest >> room:
                raise OptionError(
                    "bcd" if self.packed else "digits",
                    f"{room} bit{'s' * (room != 1)} for digit {place}, which can be {largest}",
                    f"{largest.bit_length()} bits there",
                )

    @property
    def signals(self) -> tuple[Signal, ...]:
        """``bcd``, or ``digits[0]`` (the ones) and up."""
        if self.packed:
            return (Signal("bcd", self.widths[0]),)
        return tuple(Signal(f"digits[{i}]", width) for i, width in enumerate(self.widths))

    def words(self, digits: Sequence[Any]) -> Values:
        """What the ports show for these digits."""
        if not self.packed:
            return tuple(digits)
        word: Any = 0
        for place, digit in enumerate(digits):
            word = word + digit * (1 << DIGIT_BITS * place)
        return (word,)

    def columns(self, digits: Sequence[Column]) -> tuple[Column, ...]:
        """The same for columns of digits."""
        if not self.packed:
            return tuple(column(d, width) for d, width in zip(digits, self.widths, strict=True))
        if self.widths[0] > INT64_BITS:
            digits = [d.astype(object) for d in digits]
        word: Any = digits[0]
        for place in range(1, len(digits)):
            word = word | (digits[place] << DIGIT_BITS * place)
        return (column(word, self.widths[0]),)
