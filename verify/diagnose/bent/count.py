"""A counter of one number that turns at the wrong place."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from verify.diagnose.bent.events import event_leap
from verify.models.counter_model import Counter
from verify.models.golden import Leap, State, Values

__all__ = ["BentCount", "bent_count"]


@dataclass(frozen=True, slots=True)
class BentCount(Counter):
    """``up_last``: after this value it goes to ``up_to``; counting down, after ``down_last`` to
    ``down_to``. Anything else is counted on, in ``states`` states of the register; with ``beyond``
    all above ``up_last`` goes to ``up_to`` too, and carries. ``carry_at``: the value with which the
    carry goes, None: exactly the proper last one. ``detours``: values, what follows each
    of them, and whether that is so going up. ``restless``: in its last state it goes on in a pause too.
    ``load_counts``: a load while it counts gives the value after the loaded one.
    """

    up_last: int = 0
    up_to: int = 0
    down_last: int = 0
    down_to: int = 0
    states: int = 0
    carry_at: int | None = None
    beyond: bool = False
    detours: tuple[tuple[int, int, bool], ...] = ()
    restless: bool = False
    load_counts: bool = False

    def next(self, state: State, inputs: Values) -> State:
        """As a counter's, pause and load apart."""
        after = Counter.next(self, state, inputs)
        enable, load = self._control(inputs, "enable"), self._control(inputs, "load")
        if self._control(inputs, "clear"):
            return after
        up = self._up(inputs)
        if self.load_counts and load and enable:
            return (self._stepped(after[0], up), *after[1:])
        if self.restless and not enable and not load and self._wraps(state[0], up):
            return (self._stepped(state[0], up), *after[1:])
        return after

    def _stepped(self, number: Any, up: Any) -> Any:
        for before, after, upward in self.detours:
            if number == before and bool(up) == upward:
                return after
        if up:
            ends = number >= self.up_last if self.beyond else number == self.up_last
            return self.up_to if ends else (number + self.step) % self.states
        return self.down_to if number == self.down_last else (number - self.step) % self.states

    def _wraps(self, number: Any, up: Any) -> Any:
        if self.carry_at is not None:
            return number == self.carry_at
        last = self.modulo - self.step if up else 0
        return number >= last if up and self.beyond else number == last

    def out(self, state: State, inputs: Values) -> Values:
        """As a counter's, cut to the ports."""
        return tuple(
            int(v) & s.mask for v, s in zip(Counter.out(self, state, inputs), self.outputs, strict=True)
        )

    def quiet(self, state: State, inputs: Values) -> int:  # noqa: ARG002 -- the contract's signature
        """A counter that counts is never quiet."""
        return 0

    def stretch(self, state: State, inputs: Values, cycles: int) -> tuple[int, Leap] | None:
        """Far from its turns it is a plain counter."""
        if not self._steps(inputs):
            return None
        number, wrapped, known = state
        up = bool(self._up(inputs))
        stops = [self.up_last, self.states - 1] if up else [self.down_last, 0]
        if self.carry is not None:
            stops += [0, self.modulo - self.step - 1, self.modulo - 1]
            stops += [] if self.carry_at is None else [self.carry_at, self.carry_at - 1, self.carry_at + 1]
        stops += [before for before, _, _ in self.detours]
        ahead = [(s - number if up else number - s) for s in stops]
        if wrapped or number == 0 or number >= self.modulo - 1:
            return None
        room = min((a for a in ahead if a >= 0), default=0) // self.step - 1
        length = min(room, cycles)
        if length < 8:
            return None
        moved = np.arange(length + 1, dtype=np.int64) * self.step
        numbers = number + moved if up else number - moved
        columns = list(self.face.columns(numbers[:-1]))
        if self.carry is not None:
            columns.append(np.zeros(length, np.int64))
        columns = [c & s.mask for c, s in zip(columns, self.outputs, strict=True)]
        masks = None if known else tuple(np.zeros(length, c.dtype) for c in columns)
        return length, Leap((int(numbers[-1]), 0, known), np.arange(length), tuple(columns), masks)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """From turn to turn, in whole rounds once a state comes again."""
        return event_leap(self, state, inputs, cycles)


def bent_count(counter: Counter, **changes: Any) -> BentCount:
    """``counter`` with its turns to change; ``changes`` as for ``dataclasses.replace``."""
    kind = BentCount if isinstance(counter, BentCount) else Counter
    given: dict[str, Any] = {f.name: getattr(counter, f.name) for f in fields(kind) if f.init}
    if not isinstance(counter, BentCount):
        states = 1 << counter.face.widths[0] if not counter.face.radices else counter.face.numbers
        top = counter.modulo - counter.step
        given |= {"up_last": top, "down_to": top, "states": max(states, counter.modulo)}
    return BentCount(**{**given, **changes})
