"""A sequential converter that can be restarted, but not at the very end, or that reads its input late."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from verify.models.bcd_sequential import SequentialConverter
from verify.models.golden import State, Values

__all__ = ["BentSequencer", "bent_sequencer"]


@dataclass(frozen=True, slots=True)
class BentSequencer(SequentialConverter):
    """In the last ``deaf_clocks`` clocks of a conversion a start is not seen.

    ``reads``: ``start`` the number is taken with the start; ``bits`` it is read where it stands, bit
    after bit, the lowest one ``spare_clocks`` before the last clock of the conversion; ``end`` it is
    read there as a whole.
    """

    deaf_clocks: int = 0
    reads: str = "start"
    spare_clocks: int = 0

    def next(self, state: State, inputs: Values) -> State:
        """As a sequential converter's, with what is read of the number in this clock."""
        left, value = state[1:3]
        if self.reads != "start" and left:
            state = (*state[:2], self._read(value, left - 1 - self.spare_clocks, inputs[0]), *state[3:])
        return SequentialConverter.next(self, state, inputs)

    def _read(self, value: int, bit: int, number: int) -> int:
        """``bit``: its place, when there is one to be read now."""
        if self.reads == "end":  # and that is where the lowest bit would be read
            return number if bit == 0 else value
        if not 0 <= bit < self.converter.width:
            return value
        return value & ~(1 << bit) | number & 1 << bit

    def _asked(self, at: Any, inputs: Values) -> bool:
        deaf = 0 < at.left <= self.deaf_clocks
        return not deaf and SequentialConverter._asked(self, at, inputs)

    def quiet(self, state: Any, inputs: Values) -> int:
        """As a sequential converter's, but not across the clock in which it goes deaf or reads."""
        left = state[1]
        if self.reads != "start" and left and state[2] != inputs[0]:
            return 0
        most = SequentialConverter.quiet(self, state, inputs)
        return min(most, max(left - self.deaf_clocks - 1, 0)) if left > self.deaf_clocks else most


def bent_sequencer(model: SequentialConverter, **changes: Any) -> BentSequencer:
    """``model`` with a deaf end; ``changes`` as for ``dataclasses.replace``."""
    kind = BentSequencer if isinstance(model, BentSequencer) else SequentialConverter
    given = {f.name: getattr(model, f.name) for f in fields(kind) if f.init}
    return BentSequencer(**{**given, **changes})
