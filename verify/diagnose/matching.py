"""Whether an edited model would have done what was seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from verify.compare import Ranges, delayed, find_difference, uncompared_cycles
from verify.diagnose.deadline import Deadline
from verify.diagnose.dense import laid_out
from verify.diagnose.fault import Edit
from verify.diagnose.observation import Observation
from verify.diagnose.promising import as_reset, flushed, promised, promised_from
from verify.models.playing import ResetKind
from verify.signals import Column, ExpectedTrace, ObservedTrace, merged_cycles

__all__ = ["Alignment", "Match", "Standing", "aligned", "chain_conflict", "covered", "fits", "uncompared"]

MOST_QUESTIONED = 2
"""Latencies at which an edit is asked whether it speaks; a longer one leaves it less to say."""

MOST_POINTS = 20_000
"""Moments after the first difference in which an edit has the chance to say something."""


@dataclass(frozen=True, slots=True)
class Alignment:
    """A kind of reset and a latency."""

    kind: ResetKind
    latency_cycles: int


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """An edit and the alignments under which it has matched everything so far.

    ``speaks``: somewhere the golden model is wrong and the edit is compared.
    """

    edit: Edit
    alignments: tuple[Alignment, ...]
    compared_cycles: int = 0
    speaks: bool = False


@dataclass(frozen=True, slots=True)
class Match:
    """``alignments`` under which an edit does what was seen, over how many ``compared`` cycles.

    ``wrong``: the share of the cycles that is wrong under the best alignment. ``speaks``: somewhere
    the golden model is wrong and the edit is compared; without that a model that promises nothing
    there would explain everything.
    """

    alignments: tuple[Alignment, ...]
    compared_cycles: int
    wrong: float
    speaks: bool = False


def fits(standing: Standing, observation: Observation, deadline: Deadline) -> Standing | None:
    """The edit with the alignments that match this observation too; None when none does."""
    match = aligned(standing.edit, observation, standing.alignments, deadline)
    if not match.alignments:
        return None
    compared = standing.compared_cycles + match.compared_cycles
    return Standing(standing.edit, match.alignments, compared, standing.speaks or match.speaks)


def aligned(
    edit: Edit, observation: Observation, alignments: Sequence[Alignment], deadline: Deadline
) -> Match:
    """Hold an edit against an observation under every one of ``alignments``, its beginning first.

    Raises OutOfTime, and TooLong for a model that is slow to play.
    """
    for part in observation.parts:
        match = _aligned(edit, part, alignments, deadline, asked=False)
        if not match.alignments:
            return match
        alignments = match.alignments
    return _aligned(edit, observation, alignments, deadline, asked=True)


def _aligned(
    edit: Edit,
    observation: Observation,
    alignments: Sequence[Alignment],
    deadline: Deadline,
    *,
    asked: bool,
) -> Match:
    """``asked``: whether it speaks is of interest."""
    found: list[Alignment] = []
    compared, wrong, speaks = 0, 1.0, False
    hopeless: set[int] = set()
    for kind in dict.fromkeys(a.kind for a in alignments):
        questioned = 0
        latencies = [
            a.latency_cycles for a in alignments if a.kind is kind and a.latency_cycles not in hopeless
        ]
        if not latencies:
            continue
        trace = promised(edit, kind, observation, deadline)
        dense = None if observation.dense is None else laid_out(trace)
        for latency in latencies:
            alignment = Alignment(kind, latency)
            first, cycles, share = _conflict(edit, trace, alignment, observation, deadline, dense)
            wrong = min(wrong, share)
            if first is None:
                if asked and not speaks and questioned < MOST_QUESTIONED:
                    questioned += 1
                    speaks = _speaks(edit, trace, alignment, observation, deadline)
                found.append(alignment)
                compared = max(compared, cycles)
            elif observation.first_release <= first < observation.second_reset:
                hopeless.add(latency)
    return Match(tuple(found), compared, wrong, speaks)


def chain_conflict(
    edit: Edit, alignment: Alignment, chain: Sequence[Observation], flushed_cycles: int, deadline: Deadline
) -> bool:
    """Whether an edit whose state outlives resets fails to do what was seen in a row from power-up."""
    state = flushed(edit, alignment.kind, flushed_cycles, deadline)
    for observation in chain:
        trace, state = promised_from(edit, alignment.kind, observation, state, deadline)
        if _conflict(edit, trace, alignment, observation, deadline)[0] is not None:
            return True
    return False


def uncompared(edit: Edit, observation: Observation, kind: ResetKind, latency_cycles: int) -> Ranges:
    """The cycles in which an edit's pipeline fills."""
    return uncompared_cycles(
        as_reset(edit.reset, observation.stimulus),
        kind,
        latency_cycles=latency_cycles,
        settle_cycles=observation.reading.settle_cycles,
        opens_unreset=True,
    )


def covered(ranges: Ranges, points: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Which of the cycles lie in one of the ranges."""
    begun = np.searchsorted(np.sort(ranges[:, 0]), points, side="right")
    return np.asarray(begun > np.searchsorted(np.sort(ranges[:, 1]), points, side="right"), dtype=bool)


def _conflict(
    edit: Edit,
    trace: ExpectedTrace,
    alignment: Alignment,
    observation: Observation,
    deadline: Deadline,
    laid: tuple[tuple[Column, ...], tuple[Column | None, ...]] | None = None,
) -> tuple[int | None, int, float]:
    """First conflict, cycles compared, share of wrong cycles; ``laid``: the trace laid out."""
    delays = [alignment.latency_cycles + edit.skew.get(s.name, 0) for s in trace.signals]
    observed, dense = observation.observed, observation.dense
    if min(delays) < 0:
        return 0, 0, 1.0
    if observed is None:
        return _golden_conflict(edit, trace, delays, alignment.kind, observation, deadline)
    if edit.unknown and not _never_known(edit.unknown, observed):
        return 0, 0, 1.0
    if dense is not None and laid is not None:
        skipped = dense.skipped(
            (edit.reset, alignment.kind, max(delays)),
            lambda: uncompared(edit, observation, alignment.kind, max(delays)),
        )
        without = {i: edit.unknown[s.name] for i, s in enumerate(observed.signals) if s.name in edit.unknown}
        return dense.compare(laid, delays, skipped, without)
    if edit.unknown:
        trace, observed = _without(edit.unknown, trace, observed)
    masked = uncompared(edit, observation, alignment.kind, max(delays))
    difference = find_difference(trace, observed, delays_cycles=delays, masked=masked)
    share = difference.wrong_cycles / max(sum(s.compared_cycles for s in difference.signals), 1)
    return difference.first, difference.compared_cycles, share


def _never_known(unknown: Mapping[str, int], observed: ObservedTrace) -> bool:
    """Whether these bits, and no others of their outputs, are x or z in every row."""
    for i, signal in enumerate(observed.signals):
        if signal.name in unknown:
            column = None if observed.unknown is None else observed.unknown[i]
            if column is None or not bool(np.all(column == unknown[signal.name])):
                return False
    return True


def _without(
    unknown: Mapping[str, int], trace: ExpectedTrace, observed: ObservedTrace
) -> tuple[ExpectedTrace, ObservedTrace]:
    """Both traces with these bits at 0."""
    keep = [s.mask & ~unknown.get(s.name, 0) for s in trace.signals]
    expected = tuple(v & k for v, k in zip(trace.values, keep, strict=True))
    seen = tuple(v & k for v, k in zip(observed.values, keep, strict=True))
    clear = tuple(
        None if s.name in unknown else u
        for s, u in zip(observed.signals, observed.unknown or (None,) * len(seen), strict=True)
    )
    return replace(trace, values=expected), replace(observed, values=seen, unknown=clear)


def _golden_conflict(
    edit: Edit,
    trace: ExpectedTrace,
    delays: Sequence[int],
    kind: ResetKind,
    observation: Observation,
    deadline: Deadline,
) -> tuple[int | None, int, float]:
    """Against what the golden model promises, which stands for what was seen.

    A cycle in which the golden model promises nothing was not kept, so nothing is known of it.
    """
    masked = uncompared(edit, observation, kind, max(delays))
    here, there = (
        delayed(trace, delays),
        delayed(observation.expected(deadline), observation.reading.delays_cycles),
    )
    points = merged_cycles(here.cycles, there.cycles, np.sort(masked.ravel()))
    points = points[points < trace.length]
    rows = [np.searchsorted(t.cycles, points, side="right") - 1 for t in (here, there)]
    free = ~covered(masked, points)
    wrong = np.zeros(len(points), dtype=bool)
    for i in range(len(trace.signals)):
        differ = here.values[i][rows[0]] ^ there.values[i][rows[1]]
        wrong |= np.asarray((differ & _care(here, i)[rows[0]] & _care(there, i)[rows[1]]) != 0, dtype=bool)
    lengths = np.diff(points, append=trace.length)
    hits = np.flatnonzero(wrong & free)
    compared = int(lengths[free].sum())
    return (int(points[hits[0]]), compared, 1.0) if len(hits) else (None, compared, 0.0)


def _care(trace: ExpectedTrace, index: int) -> Column:
    care = None if trace.cares is None else trace.cares[index]
    if care is None:
        return np.full(len(trace.cycles), trace.signals[index].mask, trace.values[index].dtype)
    return care


def _speaks(
    edit: Edit, trace: ExpectedTrace, alignment: Alignment, observation: Observation, deadline: Deadline
) -> bool:
    """Whether the edit is compared in a cycle in which the golden model is wrong."""
    begin, observed = observation.first_difference, observation.observed
    if begin is None or observed is None:
        return False
    if edit.unknown:
        return True
    delays = [alignment.latency_cycles + edit.skew.get(s.name, 0) for s in trace.signals]
    here, there = (
        delayed(trace, delays),
        delayed(observation.expected(deadline), observation.reading.delays_cycles),
    )
    masked = uncompared(edit, observation, alignment.kind, max(delays))
    points = merged_cycles(here.cycles, there.cycles, observed.cycles, np.sort(masked.ravel()))
    points = points[(points >= begin) & (points < trace.length)][:MOST_POINTS]
    mine, proper, shown = (
        np.searchsorted(t.cycles, points, side="right") - 1 for t in (here, there, observed)
    )
    free = ~covered(masked, points)
    for i in range(len(trace.signals)):
        wrong = (there.values[i][proper] ^ observed.values[i][shown]) & _care(there, i)[proper]
        if bool((np.asarray((wrong & _care(here, i)[mine]) != 0, dtype=bool) & free).any()):
            return True
    return False
