"""Moments at which what was seen is held against what the golden model promises, bit by bit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from verify.compare import cut_expected, cut_observed, delayed
from verify.diagnose.fault import Edit
from verify.diagnose.matching import Alignment, covered, uncompared
from verify.diagnose.observation import Observation
from verify.signals import ExpectedTrace, ObservedTrace, merged_cycles

__all__ = ["Moments"]

MOST_POINTS = 12_000
"""Moments looked at: half of them around the first difference; an answer is checked on all later."""


@dataclass(frozen=True, slots=True, eq=False)
class Moments:
    """Rows of ``expected`` (delayed) and of ``observed`` that belong to the same cycles."""

    expected: ExpectedTrace
    observed: ObservedTrace
    expected_rows: NDArray[np.intp]
    observed_rows: NDArray[np.intp]

    @classmethod
    def of(cls, trace: ExpectedTrace, alignment: Alignment, observation: Observation) -> Moments | None:
        """None where nothing was kept or nothing is compared; ``trace``: what the model promises."""
        observed, latency = observation.observed, alignment.latency_cycles
        if observed is None:
            return None
        masked = uncompared(Edit((), observation.reading.model), observation, alignment.kind, latency)
        cycles = _chosen(trace, observed, observation.first_difference or 0)
        if cycles is not None:
            masked = masked[masked[:, 0] <= cycles]
            trace, observed = cut_expected(trace, 0, cycles), cut_observed(observed, 0, cycles)
        golden = delayed(trace, [latency] * len(trace.signals))
        points = merged_cycles(golden.cycles, observed.cycles, np.sort(masked.ravel()))
        points = points[(points >= 0) & (points < trace.length)]
        points = points[~covered(masked, points)][-MOST_POINTS:]
        if len(points) == 0:
            return None
        return cls(
            golden,
            observed,
            np.searchsorted(golden.cycles, points, side="right") - 1,
            np.searchsorted(observed.cycles, points, side="right") - 1,
        )


def _chosen(trace: ExpectedTrace, observed: ObservedTrace, first: int) -> int | None:
    """The last cycle to look at in a long trace; None: all of it."""
    rows = np.searchsorted(observed.cycles, first) + MOST_POINTS // 2
    if rows >= len(observed.cycles) or len(observed.cycles) + len(trace.cycles) < MOST_POINTS:
        return None
    return int(observed.cycles[rows])
