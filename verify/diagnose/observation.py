"""What was seen, and whether an edited model would have done the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from verify.compare import (
    Reading,
    Trial,
    cut_observed,
    cut_stimulus,
    delayed,
    find_difference,
    try_reading,
    uncompared_cycles,
)
from verify.diagnose.dense import Dense, laid_out
from verify.diagnose.fault import Edit
from verify.models.golden import FollowingModel, GoldenModel, State
from verify.models.playing import ResetKind, expect
from verify.signals import Column, ExpectedTrace, ObservedTrace, Reset, Run, Stimulus
from verify.signals.merging import merged_cycles

__all__ = ["Alignment", "Match", "Observation", "Standing", "aligned", "fits", "golden_conflict", "promised"]


OPENING_RUNS, OPENING_CYCLES = 40, 60
"""Of a longer stimulus its beginning is played first, so many cycles beyond the first difference."""

HEAVY_ROWS = 8_000
"""Changes and runs of a long observation."""

MOST_POINTS = 20_000
"""Moments after the first difference in which an edit has the chance to say something."""


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
    power-up, with the reset held for so long before; None: it began somewhere else. ``turn``: its
    place among the observations of one simulation that follow each other without a gap, from
    power-up on; None: it is not one of those.
    """

    stimulus: Stimulus
    observed: ObservedTrace | None
    golden: Trial
    flushed_cycles: int | None = None
    turn: int | None = None
    _kept: dict[str, Any] = field(default_factory=dict, repr=False)

    @classmethod
    def of(
        cls,
        reading: Reading,
        stimulus: Stimulus,
        observed: ObservedTrace,
        flushed_cycles: int | None = None,
        turn: int | None = None,
    ) -> Observation:
        """An observation of a design."""
        return cls(stimulus, observed, try_reading(reading, stimulus, observed), flushed_cycles, turn)

    @classmethod
    def recalled(cls, reading: Reading, stimulus: Stimulus, turn: int | None = None) -> Observation:
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
        return cls(stimulus, None, Trial(reading, expected, same, state), turn=turn)

    @property
    def dense(self) -> Dense | None:
        """What was seen cycle by cycle, when that is short."""
        if "dense" not in self._kept:
            self._kept["dense"] = None if self.observed is None else Dense.of(self.observed)
        dense: Dense | None = self._kept["dense"]
        return dense

    @property
    def opening(self) -> Observation:
        """Its beginning, up to shortly after the first difference; itself when it is short."""
        first = self.golden.difference.first
        if self.observed is None or first is None or len(self.stimulus) <= OPENING_RUNS:
            return self
        if "opening" not in self._kept:
            end = min(first + OPENING_CYCLES, self.observed.length) - 1
            stimulus, observed = cut_stimulus(self.stimulus, 0, end), cut_observed(self.observed, 0, end)
            self._kept["opening"] = Observation.of(
                self.golden.reading, stimulus, observed, self.flushed_cycles
            )
        opening: Observation = self._kept["opening"]
        return opening

    @property
    def heavy(self) -> bool:
        """So long that an edit is played on it only when all else speaks for it."""
        seen = self.golden.expected if self.observed is None else self.observed
        return len(seen.cycles) + len(self.stimulus) > HEAVY_ROWS

    @property
    def first_release(self) -> int:
        """The cycle in which a reset with which it opens is over."""
        opens = len(self.stimulus) and self.stimulus.reset[0] != Reset.RELEASED
        return int(self.stimulus.cycles[0]) if opens else 0

    @property
    def second_reset(self) -> int:
        """The cycle from which the kind of reset can matter again after the first run."""
        if "second_reset" not in self._kept:
            at = self.stimulus.starts[1:][self.stimulus.reset[1:] != Reset.RELEASED]
            self._kept["second_reset"] = int(at[0]) if len(at) else self.stimulus.length
        second: int = self._kept["second_reset"]
        return second


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
        state = _flushed(model, edit, kind, observation.flushed_cycles)
    return expect(model, stimulus, kind, state)[0]


def _flushed(model: GoldenModel, edit: Edit, kind: ResetKind, cycles: int) -> State:
    return expect(model, _as_reset(edit.reset, _flush(model, cycles)), kind)[1]


def chain_conflict(
    edit: Edit,
    alignment: Alignment,
    chain: Sequence[Observation],
    settle_cycles: int | None,
    flushed_cycles: int,
) -> bool:
    """Whether an edit whose state outlives resets fails to do what was seen in a row from power-up."""
    kind = alignment.kind
    state = _flushed(edit.model, edit, kind, flushed_cycles)
    for observation in chain:
        trace, state = expect(edit.model, _as_reset(edit.reset, observation.stimulus), kind, state)
        first, _, _ = _conflict(edit, trace, kind, alignment.latency_cycles, observation, settle_cycles)
        if first is not None:
            return True
    return False


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
        dense = None if observation.dense is None else laid_out(trace)
        for latency in latencies:
            first, cycles, share = _conflict(edit, trace, kind, latency, observation, settle_cycles, dense)
            wrong = min(wrong, share)
            if first is None:
                speaks |= _speaks(edit, trace, Alignment(kind, latency), observation, settle_cycles)
                found.append(Alignment(kind, latency))
                compared = max(compared, cycles)
            elif observation.first_release <= first < observation.second_reset:
                hopeless.add(latency)
    return Match(tuple(found), compared, wrong, speaks)


def _conflict(
    edit: Edit,
    trace: ExpectedTrace,
    kind: ResetKind,
    latency: int,
    observation: Observation,
    settle_cycles: int | None,
    laid: tuple[tuple[Column, ...], tuple[Column | None, ...]] | None = None,
) -> tuple[int | None, int, float]:
    """First conflict, cycles compared, share of wrong cycles; ``laid``: the trace laid out."""
    delays = [latency + edit.skew.get(s.name, 0) for s in trace.signals]
    if min(delays) < 0:
        return 0, 0, 1.0
    dense = observation.dense
    if dense is not None and laid is not None:
        return _dense_conflict(edit, laid, delays, kind, observation, settle_cycles)
    seen = _as_reset(edit.reset, observation.stimulus)
    masked = uncompared_cycles(
        seen, kind, latency_cycles=max(delays), settle_cycles=settle_cycles, opens_unreset=True
    )
    if observation.observed is None:
        first = golden_conflict(trace, delays, masked, observation)
        return first, observation.golden.difference.compared_cycles, 0.0 if first is None else 1.0
    observed = observation.observed
    if edit.unknown:
        if not _never_known(edit.unknown, observed):
            return 0, 0, 1.0
        trace, observed = _without(edit.unknown, trace, observed)
    difference = find_difference(trace, observed, delays_cycles=delays, masked=masked)
    share = difference.wrong_cycles / max(sum(s.compared_cycles for s in difference.signals), 1)
    return difference.first, difference.compared_cycles, share


def _dense_conflict(
    edit: Edit,
    laid: tuple[tuple[Column, ...], tuple[Column | None, ...]],
    delays: Sequence[int],
    kind: ResetKind,
    observation: Observation,
    settle_cycles: int | None,
) -> tuple[int | None, int, float]:
    dense, observed = observation.dense, observation.observed
    if dense is None or observed is None or (edit.unknown and not _never_known(edit.unknown, observed)):
        return 0, 0, 1.0
    key = (edit.reset, kind, max(delays))
    seen = _as_reset(edit.reset, observation.stimulus)
    masked = (
        np.zeros((0, 2), np.int64)
        if key in dense.skips
        else uncompared_cycles(
            seen, kind, latency_cycles=max(delays), settle_cycles=settle_cycles, opens_unreset=True
        )
    )
    without = {i: edit.unknown[s.name] for i, s in enumerate(observed.signals) if s.name in edit.unknown}
    return dense.compare(laid, delays, dense.skipped(key, masked), without)


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
    points = merged_cycles(here.cycles, there.cycles, np.sort(masked.ravel()))
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
    if golden.difference.first is None or observed is None:
        return False
    delays = [alignment.latency_cycles + edit.skew.get(s.name, 0) for s in trace.signals]
    here = delayed(trace, delays)
    there = delayed(golden.expected, golden.reading.delays_cycles)
    seen = _as_reset(edit.reset, observation.stimulus)
    masked = uncompared_cycles(
        seen, alignment.kind, latency_cycles=max(delays), settle_cycles=settle_cycles, opens_unreset=True
    )
    points = merged_cycles(here.cycles, there.cycles, observed.cycles, np.sort(masked.ravel()))
    points = points[(points >= golden.difference.first) & (points < trace.length)][:MOST_POINTS]
    mine, proper, shown = (
        np.searchsorted(t.cycles, points, side="right") - 1 for t in (here, there, observed)
    )
    excused = np.searchsorted(np.sort(masked[:, 0]), points, side="right") > np.searchsorted(
        np.sort(masked[:, 1]), points, side="right"
    )
    if edit.unknown:
        return True
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
