"""What registers between the reset port and the design make of its reset."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from verify.signals import Reset, Stimulus

__all__ = ["DIRECT", "ResetPath"]


@dataclass(frozen=True, slots=True)
class ResetPath:
    """How reset reaches the registers that count.

    ``delay_cycles``: it acts, and ends, so many clocks late (the port goes through registers).
    ``release_cycles``: only its end is so many clocks late (registers that reset clears at once let
    go of the design one after the other: the usual synchroniser of an asynchronous reset).
    """

    delay_cycles: int = 0
    release_cycles: int = 0

    def felt(self, stimulus: Stimulus) -> Stimulus:
        """The stimulus with its reset as the design feels it."""
        if self == DIRECT:
            return stimulus
        held = self._held(stimulus)
        starts = stimulus.starts
        edges = np.unique(np.concatenate([starts, held.ravel()]))
        edges = edges[edges < stimulus.length]
        rows = np.searchsorted(starts, edges, side="right") - 1
        reset = np.where(_inside(edges, held), np.uint8(Reset.HELD), np.uint8(Reset.RELEASED))
        if not self.release_cycles:
            pulsed = stimulus.pulsed[rows] & (edges == starts[rows]) & (reset == Reset.RELEASED)
            reset[pulsed] = stimulus.reset[rows][pulsed]
        return Stimulus(
            stimulus.signals,
            np.diff(edges, append=stimulus.length),
            reset.astype(np.uint8),
            tuple(values[rows] for values in stimulus.values),
        )

    def _held(self, stimulus: Stimulus) -> NDArray[np.int64]:
        """Half-open cycle ranges, int64[n, 2], in which the design is held; they may overlap."""
        starts, cycles = stimulus.starts, stimulus.cycles
        held = stimulus.reset == Reset.HELD
        late = self.delay_cycles
        ranges = [
            np.stack([starts[held] + late, (starts + cycles)[held] + late + self.release_cycles], axis=1)
        ]
        if self.release_cycles:  # what it clears at once, a pulse between edges clears as well
            pulsed = starts[stimulus.pulsed]
            ranges.append(np.stack([pulsed, pulsed + self.release_cycles], axis=1))
        return np.concatenate(ranges).astype(np.int64)


DIRECT = ResetPath()
"""Nothing between the port and the registers."""


def _inside(cycles: NDArray[np.int64], ranges: NDArray[np.int64]) -> NDArray[np.bool_]:
    begun = np.searchsorted(np.sort(ranges[:, 0]), cycles, side="right")
    ended = np.searchsorted(np.sort(ranges[:, 1]), cycles, side="right")
    return np.asarray(begun > ended, dtype=bool)
