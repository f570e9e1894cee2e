"""Select lines that let go too late."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce
from operator import or_

import numpy as np

from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.kinds import follows, is_placed
from verify.models.golden import GoldenModel, Leap, State, Values
from verify.signals import Column, ObservedTrace, Stimulus, column

__all__ = ["Overlapping"]


@dataclass(frozen=True, slots=True)
class Overlapping(Wrapper):
    """The bits of output ``index`` stay active for ``clocks`` clocks more; ``inverted``: a 0 is active.

    State: that of the model inside, then what the output was in the last clocks, youngest first.
    """

    index: int = 0
    clocks: int = 1
    inverted: bool = False

    @property
    def _flip(self) -> int:
        return self.outputs[self.index].mask if self.inverted else 0

    def follow(self, stimulus: Stimulus, observed: ObservedTrace) -> GoldenModel:
        """The model inside goes by the observation, if it does."""
        if follows(self.inner):
            return replace(self, inner=self.inner.follow(stimulus, observed))
        return self

    def placed(self, state: State, cycle: int) -> State:
        """As inside."""
        if is_placed(self.inner):
            return (*self.inner.placed(state[: -self.clocks], cycle), *state[-self.clocks :])
        return state

    def initial(self) -> State:
        """Nothing lingers."""
        return (*self.inner.initial(), *(0 for _ in range(self.clocks)))

    def after_reset(self, state: State) -> State:
        """Nothing lingers."""
        return (*Wrapper.after_reset(self, state[: -self.clocks]), *(0 for _ in range(self.clocks)))

    def _shown(self, state: State, inputs: Values) -> tuple[Values, int]:
        values = self.inner.out(state[: -self.clocks], inputs)
        return values, int(values[self.index]) ^ self._flip

    def out(self, state: State, inputs: Values) -> Values:
        """What is active now or was a moment ago."""
        values, active = self._shown(state, inputs)
        joined = reduce(or_, state[-self.clocks :], active) ^ self._flip
        return (*values[: self.index], joined, *values[self.index + 1 :])

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As inside."""
        return self.inner.cares(state[: -self.clocks], inputs)

    def next(self, state: State, inputs: Values) -> State:
        """The latest first."""
        _, active = self._shown(state, inputs)
        return (*self.inner.next(state[: -self.clocks], inputs), active, *state[-self.clocks : -1])

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The leap inside, joined with itself a few clocks later."""
        leap = self.inner.leap(state[: -self.clocks], inputs, cycles)
        before = state[-self.clocks :]
        active: Column = leap.columns[self.index] ^ self._flip
        shifted = [leap.offsets + d for d in range(1, self.clocks + 1)]
        points = np.unique(np.concatenate([leap.offsets, np.arange(min(self.clocks, cycles)), *shifted]))
        points = points[points < cycles]
        rows = np.searchsorted(leap.offsets, points, side="right") - 1
        joined = active[rows].copy()
        for lag in range(1, self.clocks + 1):
            earlier = points - lag
            past = np.searchsorted(leap.offsets, np.maximum(earlier, 0), side="right") - 1
            held = np.array(
                [before[max(-e - 1, 0)] if e < 0 else 0 for e in earlier[: self.clocks].tolist()]
                + [0] * max(len(points) - self.clocks, 0)
            )
            joined |= np.where(earlier < 0, held[: len(points)], active[past])
        tail = [
            int(active[np.searchsorted(leap.offsets, cycles - 1 - lag, side="right") - 1])
            if cycles - 1 - lag >= 0
            else before[lag - cycles]
            for lag in range(self.clocks)
        ]
        columns = [c[rows] for c in leap.columns]
        columns[self.index] = column(joined ^ self._flip, self.outputs[self.index].width)
        cares = None if leap.cares is None else tuple(None if c is None else c[rows] for c in leap.cares)
        return Leap((*leap.state, *tail), points, tuple(columns), cares)
