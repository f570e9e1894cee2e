"""How far a model agrees with what a design did: for facts that are read off a first observation.

No verdict: cycles around a reset do not count here, whatever the kind of reset.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from verify.models.golden import FollowingModel, GoldenModel
from verify.models.playing import ResetKind, expect
from verify.signals import ExpectedTrace, ObservedTrace, Reset, Stimulus, merged_cycles

__all__ = ["agreed_cycles", "opening", "undisturbed_runs"]


def opening(stimulus: Stimulus, trace: ObservedTrace, runs: int) -> tuple[Stimulus, ObservedTrace]:
    """The first ``runs`` runs and what was observed during them."""
    cut = Stimulus(
        stimulus.signals,
        stimulus.cycles[:runs],
        stimulus.reset[:runs],
        tuple(c[:runs] for c in stimulus.values),
    )
    keep = trace.cycles < cut.length
    unknown = trace.unknown and tuple(None if c is None else c[keep] for c in trace.unknown)
    values = tuple(c[keep] for c in trace.values)
    return cut, ObservedTrace(trace.signals, cut.length, trace.cycles[keep], values, unknown)


def undisturbed_runs(resting: Mapping[str, int], stimulus: Stimulus) -> int:
    """How many runs there are, at least one, before the first in which an input is not at rest."""
    at_rest = np.ones(len(stimulus), dtype=bool)
    for signal, values in zip(stimulus.signals, stimulus.values, strict=True):
        at_rest &= np.asarray(values == resting.get(signal.name, 0), dtype=bool)
    return max(len(stimulus) if at_rest.all() else int(at_rest.argmin()), 1)


def agreed_cycles(
    model: GoldenModel,
    stimulus: Stimulus,
    trace: ObservedTrace,
    *,
    delays_cycles: Sequence[int] = (0,),
    outputs: Sequence[int] | None = None,
) -> tuple[int, ...]:
    """For each delay the cycles up to the first difference, under the better kind of reset.

    ``outputs``: indices of those that count; None: all.
    """
    if isinstance(model, FollowingModel):
        model = model.follow(stimulus, trace)
    counted = range(len(model.outputs)) if outputs is None else outputs
    best = _under(model, ResetKind.ASYNCHRONOUS, stimulus, trace, delays_cycles, counted)
    # A reset at the very beginning is seen whatever its kind.
    later = (stimulus.reset[1:] != Reset.RELEASED).any()
    if later and min(best) < trace.length:
        other = _under(model, ResetKind.SYNCHRONOUS, stimulus, trace, delays_cycles, counted)
        best = [max(pair) for pair in zip(best, other, strict=True)]
    return tuple(best)


def _under(
    model: GoldenModel,
    kind: ResetKind,
    stimulus: Stimulus,
    trace: ObservedTrace,
    delays: Sequence[int],
    outputs: Sequence[int],
) -> list[int]:
    expected, _ = expect(model, stimulus, kind)
    return [_first_difference(expected, trace, delay, _resets(stimulus, delay), outputs) for delay in delays]


def _first_difference(
    expected: ExpectedTrace,
    trace: ObservedTrace,
    delay: int,
    excused: NDArray[np.int64],
    outputs: Sequence[int],
) -> int:
    points = merged_cycles(expected.cycles + delay, trace.cycles, excused.ravel())
    points = points[(points >= delay) & (points < trace.length)]
    wanted = np.searchsorted(expected.cycles + delay, points, side="right") - 1
    got = np.searchsorted(trace.cycles, points, side="right") - 1
    wrong = np.zeros(len(points), dtype=bool)
    for i in outputs:
        bits = expected.values[i][wanted] ^ trace.values[i][got]
        unknown = None if trace.unknown is None else trace.unknown[i]
        if unknown is not None:
            bits = bits | unknown[got]
        care = None if expected.cares is None else expected.cares[i]
        wrong |= np.asarray((bits if care is None else bits & care[wanted]) != 0, dtype=bool)
    begun = np.searchsorted(excused[:, 0], points, side="right")
    ended = np.searchsorted(excused[:, 1], points, side="right")
    hits = points[wrong & (begun == ended)]
    return int(hits[0]) if len(hits) else trace.length


def _resets(stimulus: Stimulus, delay: int) -> NDArray[np.int64]:
    """Cycle ranges with a reset in them, and what is on its way when it ends."""
    held = stimulus.reset == Reset.HELD
    touched = stimulus.reset != Reset.RELEASED
    lengths = np.where(held, stimulus.cycles, 1)[touched] + delay
    return np.stack([stimulus.starts[touched], stimulus.starts[touched] + lengths], axis=1)
