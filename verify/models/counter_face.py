"""How a counter shows its number: in binary, in packed digits, or with a port for each digit."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod
from typing import Any

import numpy as np

from verify.models.golden import Values
from verify.signals import Column, column

__all__ = ["DIGIT_BITS", "Face"]

DIGIT_BITS = 4
"""Bits of a digit in a packed number."""


@dataclass(frozen=True, slots=True)
class Face:
    """``radices``: of the digits, least significant first; () for a number in binary.

    ``packed``: the digits share one port, four bits each. ``widths``: of the ports, in bits.
    """

    radices: tuple[int, ...]
    packed: bool
    widths: tuple[int, ...]

    @property
    def numbers(self) -> int:
        """How many different numbers it can show, the widths of the ports aside."""
        return prod(self.radices) if self.radices else 1 << self.widths[0]

    def digits(self, number: Any) -> list[Any]:
        """The digits of a number or of a column of numbers."""
        found = []
        for radix in self.radices[:-1]:
            found.append(number % radix)
            number = number // radix
        return [*found, number]

    def words(self, number: Any) -> Values:
        """What the ports show."""
        if not self.radices:
            return (number,)
        digits = self.digits(number)
        return (pack(digits),) if self.packed else tuple(digits)

    def columns(self, numbers: Column) -> tuple[Column, ...]:
        """The same for a column of numbers."""
        if self.packed and self.radices and DIGIT_BITS * len(self.radices) > 60:
            numbers = numbers.astype(object)
        words: Any = self.words(numbers)
        return tuple(column(np.asarray(w), width) for w, width in zip(words, self.widths, strict=True))

    def read(self, word: Any) -> tuple[Any, Any]:
        """The number behind a word on one port, and whether every digit of it is one."""
        if not self.radices:
            return word, 1
        number: Any = 0
        legal: Any = 1
        weight = 1
        for place, radix in enumerate(self.radices):
            digit = word >> DIGIT_BITS * place
            if place < len(self.radices) - 1:
                digit = digit & 15
            legal = legal & (digit < radix)
            number = number + digit * weight
            weight *= radix
        return number, legal


def pack(digits: list[Any]) -> Any:
    """Digits of four bits each in one word, the first in the lowest bits."""
    word: Any = 0
    for place, digit in enumerate(digits):
        word = word + digit * (1 << DIGIT_BITS * place)
    return word
