"""The golden model of a clock divider whose output is a square wave."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from verify.models.controls import control, position, resting_values
from verify.models.golden import Leap, State, Values, select
from verify.models.walking import join, walk
from verify.signals import Signal

__all__ = ["SquareDivider"]

FEW_PERIODS = 4
"""Runs of up to so many periods are walked."""


@dataclass(frozen=True, slots=True)
class SquareDivider:
    """``high`` clocks at 1 and ``ratio`` - ``high`` at 0, counted in enabled clocks.

    State: phase (0 to ``ratio`` + ``lead`` - 1), and 1 once the phase is known. The period begins
    with the part at ``start_level``. ``lead``: enabled clocks at ``lead_level`` that a reset or
    clear puts before it. ``begin``: the phase into which a reset or clear puts it.
    """

    inputs: tuple[Signal, ...]
    outputs: tuple[Signal, ...]
    ratio: int
    high: int
    start_level: int = 0
    lead: int = 0
    lead_level: int = 0
    begin: int = 0
    active_low: bool = False
    power_up: State = (0, 1)
    _enable: int = field(init=False, repr=False, default=-1)
    _clear: int = field(init=False, repr=False, default=-1)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_enable", position(self.inputs, "enable"))
        object.__setattr__(self, "_clear", position(self.inputs, "clear"))

    @property
    def first_part(self) -> int:
        """Clocks of the part with which a period begins."""
        return self.high if self.start_level else self.ratio - self.high

    @property
    def _turn(self) -> int:
        """The phase with which the second part begins."""
        return self.lead + self.first_part

    def initial(self) -> State:
        """The phase ``begin``, or the one at which a design without reset was found."""
        return self.power_up

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the level is a register's
        """The level, inverted when ``active_low`` says so."""
        phase, _ = state
        level = select(phase < self._turn, self.start_level, 1 - self.start_level)
        level = select(phase < self.lead, self.lead_level, level)
        return (level ^ int(self.active_low),)

    def cares(self, state: State, inputs: Values) -> Values | None:  # noqa: ARG002
        """Nothing is promised before the phase is known."""
        if self.power_up[1] == 1:
            return None
        return (select(state[1] == 1, 1, 0),)

    def next(self, state: State, inputs: Values) -> State:
        """Clear, else count while enabled."""
        phase, known = state
        enable, clear = control(inputs, self._enable, 1), control(inputs, self._clear, 0)
        counted = select(phase == self.lead + self.ratio - 1, self.lead, phase + 1)
        return (select(clear, self.begin, select(enable, counted, phase)), known | clear)

    def quiet(self, state: State, inputs: Values) -> int:
        """Up to the last phase of each part nothing happens."""
        if control(inputs, self._clear, 0) or not control(inputs, self._enable, 1):
            return 0
        ends = (self.lead, self._turn, self.lead + self.ratio)
        return next(end for end in ends if state[0] < end) - state[0] - 1

    def skip(self, state: State, inputs: Values, cycles: int) -> State:  # noqa: ARG002
        """Only the phase moves."""
        return (state[0] + cycles, state[1])

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """Walked, or in one piece when there are many periods."""
        running = control(inputs, self._enable, 1) and not control(inputs, self._clear, 0)
        if not running or cycles <= FEW_PERIODS * self.ratio + self.lead:
            return walk(self, state, inputs, cycles)
        if state[0] >= self.lead:
            return self._periods(state, cycles)
        ahead = self.lead - state[0]
        head = walk(self, state, inputs, ahead)
        return join(self.outputs, head, ahead, self._periods(head.state, cycles - ahead))

    def _periods(self, state: State, cycles: int) -> Leap:
        phase, known = state
        to_turn = (self._turn - phase - 1) % self.ratio + 1
        to_begin = (self.lead - phase - 1) % self.ratio + 1
        times = np.concatenate([np.arange(first, cycles, self.ratio) for first in (to_turn, to_begin)])
        offsets = np.concatenate([[0], np.sort(times)])
        values = np.empty(len(offsets), np.int64)
        values[0::2] = self.out(state, ())[0]
        values[1::2] = 1 - values[0]
        return Leap(
            (self.lead + (phase - self.lead + cycles) % self.ratio, known),
            offsets,
            (values,),
            None if known else (np.zeros(len(offsets), np.int64),),
        )

    @property
    def limits(self) -> Mapping[str, int]:
        """All inputs are controls."""
        return {}

    @property
    def resting(self) -> Mapping[str, int]:
        """Enabled, not cleared."""
        return resting_values(self.inputs)

    def encode(self, name: str, number: int) -> int:  # noqa: ARG002 -- the contract's signature
        """There is nothing to encode."""
        return number

    @property
    def full_cycle(self) -> int:
        """Both parts twice, so that the second period is seen to be like the first."""
        return 2 * self.ratio + self.lead

    def landmarks(self) -> tuple[int, ...]:
        """The last clock before each of the first edges."""
        phase = self.power_up[0]
        edges = (self._turn, self.lead + self.ratio, self._turn + self.ratio, self.lead + 2 * self.ratio)
        return tuple(edge - phase - 1 for edge in edges if edge > phase)
