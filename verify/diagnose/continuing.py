"""Let a failing run go on until the explanations that are left part ways."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from verify.diagnose.deadline import Deadline
from verify.diagnose.matching import Standing
from verify.diagnose.observation import Observation
from verify.diagnose.promising import promised
from verify.models.golden import at_rest
from verify.signals import ExpectedTrace, ObservedTrace, Run, Stimulus, merged_cycles

__all__ = ["continuation", "continued"]

MOST_CYCLES = 150_000
"""How long a run may go on; some tenths of a second in a simulator."""

SPARE_CYCLES = 40
"""Beyond the parting, for a latency."""


def continuation(
    standing: Sequence[Standing], observation: Observation, deadline: Deadline
) -> Stimulus | None:
    """How long the inputs have to rest after ``observation``; None: it tells nothing within reason.

    Raises OutOfTime and TooLong.
    """
    model = observation.reading.model
    values = at_rest(model)
    more = Stimulus.of(model.inputs, [Run(MOST_CYCLES, values)])
    longer = Observation(observation.reading, observation.stimulus.then(more), None)
    traces = [promised(s.edit, s.alignments[0].kind, longer, deadline) for s in standing]
    begin = observation.stimulus.length
    partings = [_parting(traces[0], other, begin) for other in traces[1:]]
    known = [cycle - begin for cycle in partings if cycle is not None]
    if not known:
        return None
    return Stimulus.of(model.inputs, [Run(min(max(known) + SPARE_CYCLES, MOST_CYCLES), values)])


def _parting(one: ExpectedTrace, other: ExpectedTrace, begin: int) -> int | None:
    """The first cycle from ``begin`` on in which two promises differ."""
    points = merged_cycles(one.cycles, other.cycles, np.array([begin], np.int64))
    points = points[points >= begin]
    rows = [np.searchsorted(t.cycles, points, side="right") - 1 for t in (one, other)]
    differ = np.zeros(len(points), dtype=bool)
    for i in range(len(one.signals)):
        differ |= np.asarray(one.values[i][rows[0]] != other.values[i][rows[1]], dtype=bool)
    hits = np.flatnonzero(differ)
    return int(points[hits[0]]) if len(hits) else None


def continued(observation: Observation, more: Stimulus, seen: ObservedTrace) -> Observation | None:
    """Both in one; None when the beginning was not kept."""
    before = observation.observed
    if before is None:
        return None
    unknown = None
    if before.unknown is not None or seen.unknown is not None:
        none: tuple[None, ...] = (None,) * len(seen.values)
        unknown = tuple(
            None
            if a is None and b is None
            else np.concatenate([np.zeros_like(v) if u is None else u for u, v in ((a, x), (b, y))])
            for a, b, x, y in zip(
                before.unknown or none, seen.unknown or none, before.values, seen.values, strict=True
            )
        )
    joined = ObservedTrace(
        seen.signals,
        before.length + seen.length,
        np.concatenate([before.cycles, seen.cycles + before.length]),
        tuple(np.concatenate(pair) for pair in zip(before.values, seen.values, strict=True)),
        unknown,
    )
    return Observation.of(
        observation.reading,
        observation.stimulus.then(more),
        joined,
        flushed_cycles=observation.flushed_cycles,
    )
