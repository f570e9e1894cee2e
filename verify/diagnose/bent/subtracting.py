"""A converter that takes off tens while there is more than ten left, not as soon as there is ten."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from verify.models.bcd_converter import Converter
from verify.models.digits import DIGIT_BITS
from verify.models.golden import State, Values
from verify.signals import Column

__all__ = ["Subtracting", "subtracting"]

DIGIT = (1 << DIGIT_BITS) - 1


@dataclass(frozen=True, slots=True)
class Subtracting(Converter):
    """Powers of ten are taken off, the largest first, while what is left is greater than they are."""

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the contract's signature
        """What such a subtraction leaves."""
        words = self.ports.words([int(d) for d in self._digits(int(inputs[0]))])
        return tuple(int(w) & s.mask for w, s in zip(words, self.outputs, strict=True))

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """The same for a column of inputs."""
        _, cares = Converter.table(self, columns)
        words = self.ports.columns([np.asarray(d) for d in self._digits(columns[0])])
        return tuple(w & s.mask for w, s in zip(words, self.outputs, strict=True)), cares

    def _digits(self, number: Any) -> list[Any]:
        """The lowest first; of a number or a column of them."""
        left, found = number, []
        for place in range(self.ports.count - 1, 0, -1):
            weight = 10**place
            times = (left - 1) // weight * (left > 0)
            left = left - times * weight
            found.append(times & DIGIT)
        return [left & DIGIT, *reversed(found)]


def subtracting(converter: Converter) -> Subtracting:
    """``converter``, with such a comparison."""
    return Subtracting(**{f.name: getattr(converter, f.name) for f in fields(Converter) if f.init})
