"""Which cycles a reset excuses while a pipeline fills.

Reset may empty the pipeline registers between a golden state and its output, or may leave them
alone; both are right. So for ``latency`` cycles nothing is promised of a value that was on its way.
An output without latency is promised in every cycle, reset or not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from verify.models.playing import ResetKind
from verify.signals import Reset, Stimulus

__all__ = ["Ranges", "uncompared_cycles"]

Ranges = NDArray[np.int64]
"""Half-open cycle ranges, int64[n, 2]; they may overlap."""


def uncompared_cycles(
    stimulus: Stimulus,
    kind: ResetKind,
    *,
    latency_cycles: int,
    settle_cycles: int | None = None,
    opens_unreset: bool = False,
) -> Ranges:
    """The cycles of ``stimulus`` in which a pipeline of that latency is filling.

    An asynchronous reset acts in the cycle in which it is asserted, a synchronous one from the next
    cycle on. After a held reset the first cycle's data needs ``latency_cycles`` to come out; after
    a pulse between edges the edge of that same cycle already takes data in. In the first cycle of a
    reset of mixed kind nothing is promised. ``settle_cycles``:
    clocks after release that the bench allows instead; at least the latency counts.
    ``opens_unreset``: nobody knows the state before the first cycle, so where the stimulus opens
    with a held synchronous reset, its first cycle is not compared either.
    """
    ranges = _filling(stimulus, kind, max(latency_cycles, settle_cycles or 0))
    if opens_unreset and kind is ResetKind.SYNCHRONOUS and stimulus.reset[:1].tolist() == [Reset.HELD]:
        return np.concatenate([np.array([[0, 1]], np.int64), ranges])
    return ranges


def _filling(stimulus: Stimulus, kind: ResetKind, fill: int) -> Ranges:
    starts, cycles = stimulus.starts, stimulus.cycles
    held = stimulus.reset == Reset.HELD
    if fill == 0:
        mixed = kind is ResetKind.MIXED
        first = starts[held & ~np.concatenate([[False], held[:-1]])] if mixed else starts[:0]
        return np.stack([first, first + 1], axis=1)
    first = starts[held] + (1 if kind is ResetKind.SYNCHRONOUS else 0)
    ranges = [np.stack([first, starts[held] + cycles[held] + fill], axis=1)]
    if kind is ResetKind.ASYNCHRONOUS:
        pulsed = starts[stimulus.pulsed]
        ranges.append(np.stack([pulsed, pulsed + fill], axis=1))
    return np.concatenate(ranges)
