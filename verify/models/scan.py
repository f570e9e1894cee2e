"""The scan of a display whose digits share their segment lines: whose turn it is, clock by clock.

Time is cut into slots of ``dwell`` clocks. In a slot one digit is selected for all but the last
``blanking`` clocks; as many slots as digits make a period. Before all this there may be some clocks
of fill, in which nothing is promised yet.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from verify.models.golden import select
from verify.models.lookup import look_up
from verify.signals import merged_cycles

__all__ = ["DARK", "FILLING", "Scan", "Track"]

DARK, FILLING = -1, -2
"""In place of a digit: none is selected, and not promised."""


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """``turns[i]`` from cycle ``offsets[i]`` on; ``state`` after the last cycle."""

    offsets: NDArray[np.int64]
    turns: NDArray[np.int64]
    state: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Scan:
    """State: clocks of fill to go, position in the period.

    ``first``: the digit of the first slot; the others follow upwards, or downwards. ``start`` and
    ``fill``: as reset leaves them. ``pauses``: it stands while the timer is not enabled; ``clears``:
    a clear starts it anew; ``continues``: reset does not touch it.
    """

    digits: int
    dwell: int
    blanking: int = 0
    first: int = 0
    descending: bool = False
    start: int = 0
    fill: int = 0
    pauses: bool = False
    clears: bool = False
    continues: bool = False

    @property
    def period(self) -> int:
        """Clocks in which every digit has its turn."""
        return self.digits * self.dwell

    @property
    def order(self) -> tuple[int, ...]:
        """The digit of every slot."""
        step = -1 if self.descending else 1
        return tuple((self.first + step * slot) % self.digits for slot in range(self.digits))

    def initial(self) -> tuple[int, int]:
        """As after reset; nothing is promised during a reset that does not touch the scan."""
        return (1, 0) if self.continues else (self.fill, self.start)

    def at(self, position: Any) -> tuple[Any, Any]:
        """The digit of a position, and whether it is selected there."""
        lit = position % self.dwell < self.dwell - self.blanking
        return look_up(self.order, position // self.dwell), lit

    def next(self, state: tuple[Any, Any], enable: Any, clear: Any) -> tuple[Any, Any]:
        """One clock later."""
        fill, position = state
        moves: Any = enable if self.pauses else 1
        filled = fill == 0
        advances = moves if self.continues else select(filled, moves, 0)
        last = position == self.period - 1
        moved = select(advances, select(last, 0, position + 1), position)
        again = clear if self.clears else 0
        return (
            select(again, self.fill, select(filled, 0, fill - 1)),
            select(again, self.start, moved),
        )

    def track(self, state: tuple[int, int], enable: int, clear: int, cycles: int) -> Track:
        """The turns of ``cycles`` clocks of steady controls."""
        if self.clears and clear:
            after = (self.fill, self.start)
            states = [state, after][: min(cycles, 2)]
            turns = np.array([self._turn(s) for s in states], np.int64)
            # A fill that clear begins again and again does not run out.
            return Track(np.arange(len(turns), dtype=np.int64), turns, after)
        fill, position = state
        filling = min(fill, cycles)
        if self.continues:
            position = (position + filling) % self.period
        rest = cycles - filling
        still = self.pauses and not enable
        after = (fill - filling, position if still else (position + rest) % self.period)
        offsets = np.zeros(min(filling, 1), np.int64)
        turns = np.full(len(offsets), FILLING, np.int64)
        if rest:
            begun = self._changes(position, 1 if still else rest)
            positions = (position + begun) % self.period
            dark = positions % self.dwell >= self.dwell - self.blanking
            digits = np.asarray(self.order, np.int64)[positions // self.dwell]
            offsets = np.concatenate([offsets, begun + filling])
            turns = np.concatenate([turns, np.where(dark, DARK, digits)])
        return Track(offsets, turns, after)

    def _turn(self, state: tuple[int, int]) -> int:
        digit, lit = self.at(state[1])
        return FILLING if state[0] else int(digit) if lit else DARK

    def _changes(self, position: int, cycles: int) -> NDArray[np.int64]:
        """0 and the cycles below ``cycles`` at which a slot begins or its dark part does."""
        starts = np.arange(-position % self.dwell, cycles, self.dwell, dtype=np.int64)
        found = [np.zeros(1, np.int64), starts]
        if self.blanking:
            first = (self.dwell - self.blanking - position) % self.dwell
            found.append(np.arange(first, cycles, self.dwell, dtype=np.int64))
        return merged_cycles(*found)
