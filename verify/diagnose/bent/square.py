"""A square wave whose level a clear leaves alone."""

from __future__ import annotations

from dataclasses import dataclass, fields

from verify.models.controls import control
from verify.models.divider_square import SquareDivider
from verify.models.golden import State, Values

__all__ = ["LevelKeeping", "level_keeping"]


@dataclass(frozen=True, slots=True)
class LevelKeeping(SquareDivider):
    """A clear begins the present half anew instead of the period."""

    def next(self, state: State, inputs: Values) -> State:
        """As a square divider's, clear apart."""
        after = SquareDivider.next(self, state, inputs)
        if not control(inputs, self._clear, 0):
            return after
        turn = self.lead + self.first_part
        return (self.lead if state[0] < turn else turn, *after[1:])


def level_keeping(model: SquareDivider) -> LevelKeeping:
    """``model`` with such a clear."""
    return LevelKeeping(**{f.name: getattr(model, f.name) for f in fields(SquareDivider) if f.init})
