"""A flag whose register stands still while nothing is enabled."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from verify.diagnose.bent.wrapping import Wrapper
from verify.models.golden import Leap, State, Values
from verify.signals import column

__all__ = ["HeldFlag"]


@dataclass(frozen=True, slots=True)
class HeldFlag(Wrapper):
    """Output ``index``, of one bit, keeps its value in the cycles in which input ``enable`` is 0.

    State: that of the model inside, the value kept, and 1 when it is promised; ``rest``: what a
    reset puts there.
    """

    index: int = 0
    enable: int = 0
    rest: int = 0

    def initial(self) -> State:
        """The flag rests."""
        return (*self.inner.initial(), self.rest, 1)

    def after_reset(self, state: State) -> State:
        """The flag rests."""
        return (*Wrapper.after_reset(self, state[:-2]), self.rest, 1)

    def out(self, state: State, inputs: Values) -> Values:
        """As inside, or what was kept."""
        shown = list(self.inner.out(state[:-2], inputs))
        if not inputs[self.enable]:
            shown[self.index] = state[-2]
        return tuple(shown)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As inside; what is kept is promised when it was."""
        masks = self.inner.cares(state[:-2], inputs)
        if inputs[self.enable]:
            return masks
        kept = list(masks or (s.mask for s in self.outputs))
        kept[self.index] = state[-1]
        return tuple(kept)

    def next(self, state: State, inputs: Values) -> State:
        """What is shown now is kept."""
        masks = self.cares(state, inputs)
        sure = 1 if masks is None else masks[self.index]
        return (*self.inner.next(state[:-2], inputs), self.out(state, inputs)[self.index], sure)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """As inside; in a pause one value all the time."""
        leap = self.inner.leap(state[:-2], inputs, cycles)
        masks = None if leap.cares is None else leap.cares[self.index]
        if inputs[self.enable]:
            last = int(leap.columns[self.index][-1])
            return replace(leap, state=(*leap.state, last, 1 if masks is None else int(masks[-1])))
        columns, cares = list(leap.columns), list(leap.cares or (None,) * len(leap.columns))
        columns[self.index] = column(np.full(len(leap.offsets), state[-2]), 1)
        cares[self.index] = column(np.full(len(leap.offsets), state[-1]), 1)
        return replace(leap, state=(*leap.state, *state[-2:]), columns=tuple(columns), cares=tuple(cares))
