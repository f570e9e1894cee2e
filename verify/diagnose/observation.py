"""What was seen, and whether an edited model would have done the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from verify.compare import Reading, Trial, delayed, find_difference, try_reading, uncompared_cycles
from verify.diagnose.fault import Edit
from verify.models.golden import FollowingModel, GoldenModel
from verify.models.playing import ResetKind, expect
from verify.signals import Column, ExpectedTrace, ObservedTrace, Reset, Run, Stimulus

__all__ = ["Alignment", "Match", "Observation", "Standing", "aligned", "fits", "golden_conflict", "promised"]


@dataclass(frozen=True, slots=True)
class Alignment:
    """A kind of reset and a latency."""

    kind: ResetKind
    latency_cycles: int


@dataclass(frozen=True, slots=True, eq=False)
class Observation:
    """A stimulus and what came of it.

    ``observed`` None: the golden reading matched it on every cycle, so what it promises stands for
    what was seen. ``golden``: the golden reading held against it. ``flushed_cycles``: it began at
    power-up, with the reset held for so long before; None: it began somewhere else.
    """

    stimulus: Stimulus
    observed: ObservedTrace | None
    golden: Trial
    flushed_cycles: int | None = None

    @classmethod
    def of(
        cls,
        reading: Reading,
        stimulus: Stimulus,
        observed: ObservedTrace,
        flushed_cycles: int | None = None,
    ) -> Observation:
        """An observation of a design."""
        return cls(stimulus, observed, try_reading(reading, stimulus, observed), flushed_cycles)

    @classmethod
    def recalled(cls, reading: Reading, stimulus: Stimulus) -> Observation:
        """An observation that matched the golden reading and was not kept."""
        expected, state = expect(reading.model, stimulus, reading.kind)
        masked = uncompared_cycles(
            stimulus,
            reading.kind,
            latency_cycles=max(reading.delays_cycles, default=0),
            settle_cycles=reading.settle_cycles,
            opens_unreset=True,
        )
        seen = ObservedTrace(expected.signals, expected.length, expected.cycles, expected.values)
        same = find_difference(expected, seen, delays_cycles=[0] * len(expected.signals), masked=masked)
        return cls(stimulus, None, Trial(reading, expected, same, state))

    @property
    def second_reset(self) -> int:
        """The cycle from which the kind of reset can matter again after the first run."""
        at = self.stimulus.starts[1:][self.stimulus.reset[1:] != Reset.RELEASED]
        return int(at[0]) if len(at) else self.stimulus.length


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """An edit and the alignments under which it has matched everything so far."""

    edit: Edit
    alignments: tuple[Alignment, ...]
    compared_cycles: int = 0
    speaks: bool = False


def promised(model: GoldenModel, edit: Edit, kind: ResetKind, observation: Observation) -> ExpectedTrace:
    """What the edited model does under the observation's stimulus, not delayed."""
    stimulus = _as_reset(edit.reset, observation.stimulus)
    if isinstance(model, FollowingModel) and observation.observed is not None:
        model = model.follow(stimulus, observation.observed)
    state = None
    if edit.whole and observation.flushed_cycles:
        flush = _as_reset(edit.reset, _flush(model, observation.flushed_cycles))
        state = expect(model, flush, kind)[1]
    return expect(model, stimulus, kind, state)[0]


def _flush(model: GoldenModel, cycles: int) -> Stimulus:
    resting = getattr(model, "resting", {})
    values = tuple(resting.get(s.name, 0) for s in model.inputs)
    return Stimulus.of(model.inputs, [Run(cycles, values, Reset.HELD)])


def _as_reset(reset: str, stimulus: Stimulus) -> Stimulus:
    """What the faulty design makes of the reset."""
    if reset not in {"inverted", "ignored"}:
        return stimulus
    seen = np.full(len(stimulus), Reset.RELEASED, np.uint8)
    if reset == "inverted":
        seen = np.where(stimulus.reset == Reset.HELD, Reset.RELEASED, Reset.HELD).astype(np.uint8)
    return replace(stimulus, reset=seen)


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


def aligned(
    edit: Edit,
    observation: Observation,
    alignments: Sequence[Alignment],
    settle_cycles: int | None,
) -> Match:
    """Hold an edit against an observation under every one of ``alignments``."""
    found: list[Alignment] = []
    compared, wrong, speaks = 0, 1.0, False
    hopeless: set[int] = set()
    for kind in dict.fromkeys(a.kind for a in alignments):
        latencies = [
            a.latency_cycles for a in alignments if a.kind is kind and a.latency_cycles not in hopeless
        ]
        if not latencies:
            continue
        trace = promised(edit.model, edit, kind, observation)
        for latency in latencies:
            first, cycles, share = _conflict(edit, trace, kind, latency, observation, settle_cycles)
            wrong = min(wrong, share)
            if first is None:
                speaks |= _speaks(edit, trace, Alignment(kind, latency), observation, settle_cycles)
                found.append(Alignment(kind, latency))
                compared = max(compared, cycles)
            elif first < observation.second_reset:
                hopeless.add(latency)
    return Match(tuple(found), compared, wrong, speaks)


def _conflict(
    edit: Edit,
    trace: ExpectedTrace,
    kind: ResetKind,
    latency: int,
    observation: Observation,
    settle_cycles: int | None,
) -> tuple[int | None, int, float]:
    delays = [latency + edit.skew.get(s.name, 0) for s in trace.signals]
    if min(delays) < 0:
        return 0, 0, 1.0
    seen = _as_reset(edit.reset, observation.stimulus)
    masked = uncompared_cycles(
        seen, kind, latency_cycles=max(delays), settle_cycles=settle_cycles, opens_unreset=True
    )
    if observation.observed is None:
        first = golden_conflict(trace, delays, masked, observation)
        return first, observation.golden.difference.compared_cycles, 0.0 if first is None else 1.0
    difference = find_difference(trace, observation.observed, delays_cycles=delays, masked=masked)
    share = difference.wrong_cycles / max(sum(s.compared_cycles for s in difference.signals), 1)
    return difference.first, difference.compared_cycles, share


def golden_conflict(
    trace: ExpectedTrace,
    delays: Sequence[int],
    masked: np.ndarray[tuple[int, ...], np.dtype[np.int64]],
    observation: Observation,
) -> int | None:
    """The first cycle in which a trace and the golden one, both promised, differ."""
    golden = observation.golden
    here = delayed(trace, delays)
    there = delayed(golden.expected, golden.reading.delays_cycles)
    points = np.unique(np.concatenate([here.cycles, there.cycles, masked.ravel()]))
    points = points[points < trace.length]
    rows = [np.searchsorted(t.cycles, points, side="right") - 1 for t in (here, there)]
    excused = np.searchsorted(np.sort(masked[:, 0]), points, side="right") > np.searchsorted(
        np.sort(masked[:, 1]), points, side="right"
    )
    wrong = np.zeros(len(points), dtype=bool)
    for i in range(len(trace.signals)):
        differ = (
            (here.values[i][rows[0]] ^ there.values[i][rows[1]])
            & _care(here, i)[rows[0]]
            & _care(there, i)[rows[1]]
        )
        wrong |= np.asarray(differ != 0, dtype=bool)
    hits = np.flatnonzero(wrong & ~excused)
    return int(points[hits[0]]) if len(hits) else None


def _care(trace: ExpectedTrace, index: int) -> Column:
    care = None if trace.cares is None else trace.cares[index]
    if care is None:
        return np.full(len(trace.cycles), trace.signals[index].mask, trace.values[index].dtype)
    return care


def _speaks(
    edit: Edit,
    trace: ExpectedTrace,
    alignment: Alignment,
    observation: Observation,
    settle_cycles: int | None,
) -> bool:
    """Whether the edit is compared in a cycle in which the golden model is wrong."""
    golden, observed = observation.golden, observation.observed
    if golden.difference.matches or observed is None:
        return False
    delays = [alignment.latency_cycles + edit.skew.get(s.name, 0) for s in trace.signals]
    here = delayed(trace, delays)
    there = delayed(golden.expected, golden.reading.delays_cycles)
    seen = _as_reset(edit.reset, observation.stimulus)
    masked = uncompared_cycles(
        seen, alignment.kind, latency_cycles=max(delays), settle_cycles=settle_cycles, opens_unreset=True
    )
    points = np.unique(np.concatenate([here.cycles, there.cycles, observed.cycles, masked.ravel()]))
    points = points[points < trace.length]
    mine, proper, shown = (
        np.searchsorted(t.cycles, points, side="right") - 1 for t in (here, there, observed)
    )
    excused = np.searchsorted(np.sort(masked[:, 0]), points, side="right") > np.searchsorted(
        np.sort(masked[:, 1]), points, side="right"
    )
    for i in range(len(trace.signals)):
        wrong = (there.values[i][proper] ^ observed.values[i][shown]) & _care(there, i)[proper]
        if bool((np.asarray((wrong & _care(here, i)[mine]) != 0, dtype=bool) & ~excused).any()):
            return True
    return False


def fits(standing: Standing, observation: Observation, settle_cycles: int | None) -> Standing | None:
    """The edit with the alignments that match this observation too; None when none does."""
    match = aligned(standing.edit, observation, standing.alignments, settle_cycles)
    if not match.alignments:
        return None
    compared = standing.compared_cycles + match.compared_cycles
    return Standing(standing.edit, match.alignments, compared, standing.speaks or match.speaks)
