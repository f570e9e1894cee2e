"""The golden model of a clock divider whose output is high for one clock per period."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from verify.models.controls import control, position, resting_values
from verify.models.golden import Leap, State, Values, select
from verify.models.walking import join, pulses, walk
from verify.signals import Signal

__all__ = ["TickDivider"]

UNPROMISED = 2
"""A tick register whose next value a clear has made uncertain: some designs clear it, some do not."""

FEW_PERIODS = 6
"""Runs of up to so many periods are walked."""


@dataclass(frozen=True, slots=True)
class TickDivider:
    """One tick every ``ratio`` enabled clocks.

    State: phase (0 to ``ratio`` + ``lead`` - 1), tick register, and 1 once the phase is known.
    ``lead``: enabled clocks that a reset or clear puts before the first period. ``early``: the tick
    marks the last clock of a period, as combinational logic does; else it is a register, high in
    the clock after, enable or not. ``power_up``: the state that ``initial`` gives.
    """

    inputs: tuple[Signal, ...]
    outputs: tuple[Signal, ...]
    ratio: int
    lead: int = 0
    early: bool = False
    active_low: bool = False
    power_up: State = (0, 0, 1)
    _enable: int = field(init=False, repr=False, default=-1)
    _clear: int = field(init=False, repr=False, default=-1)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_enable", position(self.inputs, "enable"))
        object.__setattr__(self, "_clear", position(self.inputs, "clear"))

    @property
    def _last(self) -> int:
        """The last phase of a period."""
        return self.ratio + self.lead - 1

    def initial(self) -> State:
        """Phase 0, or the phase at which a design without reset was found."""
        return self.power_up

    def out(self, state: State, inputs: Values) -> Values:
        """The tick, at the level that ``active_low`` says."""
        phase, tick, _ = state
        logic = control(inputs, self._enable, 1) & (phase == self._last)
        high = logic if self.early else tick == 1
        return (select(high, 1, 0) ^ int(self.active_low),)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Nothing is promised of a tick that coincides with a clear, nor of an unknown phase."""
        if self._clear < 0:
            return None
        phase, tick, known = state
        if self.early:
            lost = control(inputs, self._clear, 0) & control(inputs, self._enable, 1) & (phase == self._last)
        else:
            lost = tick == UNPROMISED
        return (select(lost | (known == 0), 0, 1),)

    def next(self, state: State, inputs: Values) -> State:
        """Clear, else count while enabled."""
        phase, _, known = state
        enable, clear = control(inputs, self._enable, 1), control(inputs, self._clear, 0)
        last = phase == self._last
        counted = select(enable, select(last, self.lead, phase + 1), phase)
        tick = 0
        if not self.early:
            doubtful = clear & enable & (last | (known == 0))
            tick = select(doubtful, UNPROMISED, select(enable & last, 1, 0))
        return (select(clear, 0, counted), tick, known | clear)

    def quiet(self, state: State, inputs: Values) -> int:
        """Up to the last phase nothing happens."""
        phase, tick, _ = state
        running = control(inputs, self._enable, 1) and not control(inputs, self._clear, 0)
        return self._last - phase if running and tick == 0 else 0

    def skip(self, state: State, inputs: Values, cycles: int) -> State:  # noqa: ARG002
        """Only the phase moves."""
        phase, tick, known = state
        return (phase + cycles, tick, known)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """Walked, or in one piece when there are many periods."""
        running = control(inputs, self._enable, 1) and not control(inputs, self._clear, 0)
        if not running or cycles <= FEW_PERIODS * self.ratio + self.lead:
            return walk(self, state, inputs, cycles)
        head = walk(self, state, inputs, 1)
        return join(self.outputs, head, 1, self._periods(head.state, cycles - 1))

    def _periods(self, state: State, cycles: int) -> Leap:
        phase, tick, known = state
        first = self._last - phase + (0 if self.early else 1)
        times = np.arange(first, cycles, self.ratio)
        if tick and first > 0:
            times = np.concatenate([[0], times])
        offsets, values = pulses(times, cycles)
        ended = phase + cycles
        if ended > self._last:
            ended = self.lead + (ended - self.lead) % self.ratio
        # The register after the last cycle shows whether that cycle was the last of a period.
        ticked = not self.early and cycles > self._last - phase and (ended - self.lead) % self.ratio == 0
        return Leap(
            (ended, int(ticked), known),
            offsets,
            (values ^ int(self.active_low),),
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
        """Two periods: the first after a reset, and one between two ticks."""
        return 2 * self.ratio + self.lead

    def landmarks(self) -> tuple[int, ...]:
        """The last clock of the first three periods."""
        first = self._last - self.power_up[0]
        return tuple(first + self.ratio * i for i in range(3))
