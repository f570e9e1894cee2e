"""A pulse that stays active for longer than it should."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from verify.diagnose.bent.wrapping import Wrapper
from verify.models.golden import Leap, State, Values
from verify.signals import column

__all__ = ["Stretched"]


@dataclass(frozen=True, slots=True)
class Stretched(Wrapper):
    """The first output of the model inside, of one bit, stays at ``level`` for ``clocks`` clocks.

    State: that of the model inside, then for how many clocks more.
    """

    clocks: int = 2
    level: int = 1

    def initial(self) -> State:
        """Nothing is stretched."""
        return (*self.inner.initial(), 0)

    def after_reset(self, state: State) -> State:
        """Nothing is stretched."""
        return (*Wrapper.after_reset(self, state[:-1]), 0)

    def out(self, state: State, inputs: Values) -> Values:
        """The output inside, or still the level."""
        shown = self.inner.out(state[:-1], inputs)
        return (self.level if state[-1] else shown[0], *shown[1:])

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As inside."""
        return self.inner.cares(state[:-1], inputs)

    def next(self, state: State, inputs: Values) -> State:
        """One clock less, or the whole length again."""
        shown = self.inner.out(state[:-1], inputs)[0] == self.level
        left = self.clocks - 1 if shown else max(state[-1] - 1, 0)
        return (*self.inner.next(state[:-1], inputs), left)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The leap inside, each pulse longer."""
        leap = self.inner.leap(state[:-1], inputs, cycles)
        active = np.asarray(leap.columns[0] == self.level, dtype=bool)
        ends = np.append(leap.offsets[1:], cycles)
        last = ends[active] + self.clocks - 1
        if state[-1]:
            last = np.concatenate([[state[-1]], last])
        begins = np.concatenate([[0] if state[-1] else [], leap.offsets[active]]).astype(np.int64)
        points = np.unique(np.concatenate([leap.offsets, last]))
        points = points[points < cycles]
        rows = np.searchsorted(leap.offsets, points, side="right") - 1
        covered = np.searchsorted(np.sort(begins), points, side="right") > np.searchsorted(
            np.sort(last), points, side="right"
        )
        first = np.where(covered, self.level, leap.columns[0][rows])
        left = 0
        if len(last):
            left = max(int(last.max()) - cycles, 0)
        cares = None if leap.cares is None else tuple(None if c is None else c[rows] for c in leap.cares)
        return Leap(
            (*leap.state, left),
            points,
            (column(first, 1), *(c[rows] for c in leap.columns[1:])),
            cares,
        )
