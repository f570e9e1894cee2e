"""A control that does not wait for the clock edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from verify.diagnose.bent.wrapping import Wrapper
from verify.models.golden import Leap, State, Values
from verify.signals import column

__all__ = ["Immediate"]


@dataclass(frozen=True, slots=True)
class Immediate(Wrapper):
    """What input ``index`` does shows in the cycle in which it is given, not after its edge.

    While it is given the controls ``waiting`` are not heard: they wait for an edge. Right for a
    control under whose steady inputs the state comes to rest in one cycle.
    """

    index: int = 0
    waiting: tuple[int, ...] = ()

    def _heard(self, inputs: Values) -> Values:
        if not self.waiting or not inputs[self.index]:
            return inputs
        return tuple(0 if i in self.waiting else value for i, value in enumerate(inputs))

    def _now(self, state: State, inputs: Values) -> State:
        return self.inner.next(state, self._heard(inputs)) if inputs[self.index] else state

    def out(self, state: State, inputs: Values) -> Values:
        """Of the state that the control makes."""
        return self.inner.out(self._now(state, inputs), inputs)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Of the state that the control makes."""
        return self.inner.cares(self._now(state, inputs), inputs)

    def next(self, state: State, inputs: Values) -> State:
        """From the state that the control makes."""
        return self.inner.next(self._now(state, inputs), self._heard(inputs))

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """From the state that the control makes."""
        heard = self._heard(inputs)
        if heard == inputs:
            return self.inner.leap(self._now(state, inputs), inputs, cycles)
        now = self._now(state, inputs)
        leap = self.inner.leap(now, heard, cycles)
        first = self.inner.out(now, inputs)
        masks = self.inner.cares(now, inputs)
        columns = tuple(column([value], s.width) for value, s in zip(first, self.outputs, strict=True))
        cares = (
            None
            if masks is None
            else tuple(column([mask], s.width) for mask, s in zip(masks, self.outputs, strict=True))
        )
        return Leap(leap.state, np.zeros(1, np.int64), columns, cares)
