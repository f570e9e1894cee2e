"""Note at which clocks of its period a divider counted, was paused, cleared and reset, for a picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from verify.models.controls import position
from verify.models.divider_square import SquareDivider
from verify.models.divider_tick import TickDivider
from verify.pictures import Axis, CoverageMap
from verify.signals import ExpectedTrace, Reset, Stimulus

__all__ = ["PhaseNoter"]

LONGEST_AXIS = 100
"""Cells of the period in the picture."""

LONGEST_PERIOD = 1 << 20
"""Of a longer one nothing is noted: it would not be met at more than a few of its clocks anyway."""

COUNTING, PAUSED, CLEARED, RESET = "counting", "paused", "cleared", "reset"


class PhaseNoter:
    """The clocks of the period, from 0 on, by what happened in them.

    A pulse of reset between two edges, of which only an asynchronous one knows, leaves the phase
    unknown until the next clear or reset; so does power-up where there is no reset.
    """

    def __init__(self, model: TickDivider | SquareDivider) -> None:
        self.model = model
        self.enable, self.clear = position(model.inputs, "enable"), position(model.inputs, "clear")
        names = {COUNTING: True, PAUSED: self.enable >= 0, CLEARED: self.clear >= 0}
        self.rows = [name for name, there in names.items() if there]
        self.flags = {name: np.zeros(self.period, dtype=bool) for name in (*names, RESET)}
        self.resets = False
        self.phase = self._position(model.power_up[0])
        self.known = bool(model.power_up[-1])

    @property
    def period(self) -> int:
        """Clocks of a period; 0: it is too long to be noted."""
        return self.model.ratio if self.model.ratio <= LONGEST_PERIOD else 0

    def _position(self, phase: int) -> int:
        """Where in the period the model's phase is; ``lead`` clocks come before the first one."""
        return (phase - self.model.lead) % self.model.ratio

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:  # noqa: ARG002 -- as all that note
        """Note one stimulus, which goes on where the one before it ended."""
        if not self.period or not len(stimulus):
            return
        held = np.asarray(stimulus.reset == Reset.HELD, dtype=bool)
        pulsed = stimulus.pulsed
        enabled = self._control(stimulus, self.enable, 1) == 1
        cleared = (self._control(stimulus, self.clear, 0) == 1) & ~held
        zeroed = held | cleared
        counting = enabled & ~zeroed
        before, known = self._phases(
            stimulus, np.where(held, self.model.power_up[0], self._begin), zeroed, pulsed, counting
        )
        self.resets |= bool(held.any())
        # Of a reset or clear that lasts only its first clock meets the design as it was.
        first = np.concatenate([[True], ~zeroed[:-1]])
        self._mark(COUNTING, before, np.where(counting, stimulus.cycles, 0), known & counting)
        for name, where in ((PAUSED, ~enabled & ~zeroed), (CLEARED, cleared & first), (RESET, held & first)):
            self._mark(name, before, np.ones(len(before), np.int64), known & where)

    @property
    def _begin(self) -> int:
        """The phase after a clear."""
        return self.model.begin if isinstance(self.model, SquareDivider) else 0

    def _control(self, stimulus: Stimulus, index: int, resting: int) -> NDArray[np.int64]:
        if index < 0:
            return np.full(len(stimulus), resting, np.int64)
        return np.asarray(stimulus.values[index], dtype=np.int64)

    def _phases(
        self,
        stimulus: Stimulus,
        start: NDArray[np.int64],
        zeroed: NDArray[np.bool_],
        pulsed: NDArray[np.bool_],
        counting: NDArray[np.bool_],
    ) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
        """The phase before each run, and whether it is known; that after the last is kept."""
        runs = np.arange(len(zeroed) + 1)
        moved = np.concatenate([[0], np.cumsum(np.where(counting, stimulus.cycles, 0))])
        last = np.maximum.accumulate(np.concatenate([[-1], np.where(zeroed, runs[:-1], -1)]))
        doubt = np.maximum.accumulate(np.concatenate([[-1], np.where(pulsed, runs[:-1], -1)]))
        from_start = np.where(last >= 0, (start[last] - self.model.lead) % self.period, self.phase)
        phases = (from_start + moved - np.where(last >= 0, moved[last + 1], 0)) % self.period
        known = (last > doubt) | ((last < 0) & (doubt < 0) & self.known)
        self.phase, self.known = int(phases[-1]), bool(known[-1])
        # A pulse in a run's first cycle is a doubt of that run already.
        return phases[:-1], known[:-1] & ~pulsed

    def _mark(
        self, name: str, begin: NDArray[np.int64], length: NDArray[np.int64], where: NDArray[np.bool_]
    ) -> None:
        """All clocks of the period from ``begin`` on, ``length`` of them, round and round."""
        flags, begin, length = self.flags[name], begin[where], length[where]
        if (length >= self.period).any():
            flags[:] = True
            return
        steps = np.zeros(2 * self.period + 1, np.int64)
        np.add.at(steps, begin, 1)
        np.add.at(steps, begin + length, -1)
        there = np.cumsum(steps[:-1]) > 0
        flags |= there[: self.period] | there[self.period :]

    def maps(self) -> tuple[CoverageMap, ...]:
        """One map; none of a period that is too long."""
        if not self.period:
            return ()
        rows = [*self.rows, RESET] if self.resets else self.rows
        across = Axis("clock of the period", self.period, -(-self.period // LONGEST_AXIS))
        begins = np.arange(0, self.period, across.per_cell)
        counts = np.add.reduceat(np.array([self.flags[row] for row in rows], np.int64), begins, axis=1)
        down = Axis("while", len(rows), labels=tuple(rows))
        return (CoverageMap("clocks of the period met", across, down, tuple(counts.ravel().tolist())),)
