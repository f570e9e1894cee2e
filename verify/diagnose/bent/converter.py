"""A converter to decimal digits with a wrong rule."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from verify.diagnose.shift_rule import RIGHT, ShiftRule, convert_columns, steps_of
from verify.models.bcd_converter import Converter
from verify.models.digits import DIGIT_BITS
from verify.models.golden import State, Values
from verify.signals import Column

__all__ = ["BentConverter", "bent_converter"]


@dataclass(frozen=True, slots=True)
class BentConverter(Converter):
    """Shift and add by ``rule``; ``shifts`` fewer (above 0) or more shifts than bits are done.

    ``room``: digits that the design works with, when they are fewer than it shows.
    """

    rule: ShiftRule = RIGHT
    missing_shifts: int = 0
    room: int | None = None

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the contract's signature
        """What the rule leaves."""
        number, width = self._fed(inputs[0])
        digits = self._worked
        bcd = steps_of(int(number), width, digits, self.rule)[-1].bcd
        found = [bcd >> DIGIT_BITS * p & 15 for p in range(digits)] + [0] * (self.ports.count - digits)
        words = self.ports.words(found)
        return tuple(int(w) & s.mask for w, s in zip(words, self.outputs, strict=True))

    @property
    def _worked(self) -> int:
        return self.ports.count if self.room is None else min(self.room, self.ports.count)

    def _fed(self, number: Any) -> tuple[Any, int]:
        """The number and width that are shifted in altogether."""
        if self.missing_shifts >= 0:
            return number >> self.missing_shifts, self.width - self.missing_shifts
        return number << -self.missing_shifts, self.width - self.missing_shifts

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """The same for a column of inputs."""
        _, cares = Converter.table(self, columns)
        numbers, width = self._fed(columns[0])
        found = list(convert_columns(numbers, width, self._worked, self.rule))
        found += [np.zeros(len(numbers), np.int64)] * (self.ports.count - self._worked)
        words = self.ports.columns(found)
        return tuple(w & s.mask for w, s in zip(words, self.outputs, strict=True)), cares


def bent_converter(converter: Converter, **changes: Any) -> BentConverter:
    """``converter`` with a rule to change; ``changes`` as for ``dataclasses.replace``."""
    kind = type(converter) if isinstance(converter, BentConverter) else Converter
    given = {f.name: getattr(converter, f.name) for f in fields(kind) if f.init}
    return BentConverter(**{**given, **changes})
