"""Hold readings against an observation that comes in windows, at the memory of one window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from verify.compare.difference import Difference, SignalDifference, find_difference
from verify.compare.masking import Ranges
from verify.compare.reading import Reading, Trial
from verify.compare.reset_path import ResetPath
from verify.compare.windows import (
    cut_expected,
    cut_observed,
    cut_stimulus,
    joined_expected,
    joined_observed,
)
from verify.models.golden import State
from verify.models.playing import ResetKind, expect
from verify.signals import ExpectedTrace, ObservedTrace, Stimulus

__all__ = ["GoldenKey", "Step", "Stream", "golden_key"]

KEPT_CYCLES = 256
"""Cycles before a window that are kept beside those that a latency reaches back, to be looked at."""

T = TypeVar("T", ExpectedTrace, ObservedTrace)

GoldenKey = tuple[int, ResetKind, ResetPath]
"""Readings that differ only in latency share a golden trace."""


def golden_key(reading: Reading) -> GoldenKey:
    """What a golden trace depends on."""
    return id(reading.candidate), reading.kind, reading.reset_path


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """One window: the stimulus in it, and a trial of every reading that held until then.

    A trial's ``expected`` is the golden trace of the window; its ``difference`` counts cycles from
    the start of the whole stimulus.
    """

    stimulus: Stimulus
    trials: tuple[Trial, ...]


@dataclass(slots=True)
class _Golden:
    """A golden model on its way, and its last cycles."""

    state: State | None
    tail: ExpectedTrace | None = None


class Stream:
    """Several readings on their way through one stimulus.

    ``alive``: those that have not differed yet. ``states``: golden state of each key where it stands.
    No reading's model may be one that follows an observation.
    """

    def __init__(
        self, readings: Sequence[Reading], stimulus: Stimulus, states: Mapping[GoldenKey, State]
    ) -> None:
        self.alive = list(readings)
        self.end = 0
        self._stimulus = stimulus
        self._felt = {r.reset_path: r.reset_path.felt(stimulus) for r in readings}
        self._golden = {golden_key(r): _Golden(states.get(golden_key(r))) for r in readings}
        self._masked = {id(r): r.uncompared(stimulus, max(r.delays_cycles, default=0)) for r in readings}
        self._kept = KEPT_CYCLES + max((d for r in readings for d in r.delays_cycles), default=0)
        self._tail: ObservedTrace | None = None
        self._seen: ObservedTrace | None = None
        self._promised: dict[GoldenKey, ExpectedTrace] = {}

    @property
    def states(self) -> dict[GoldenKey, State]:
        """Golden states after the last window, of the keys that are alive."""
        return {key: g.state for key, g in self._golden.items() if g.state is not None}

    def add(self, trace: ObservedTrace) -> Step:
        """The window that follows; ``alive`` then has the readings that still hold."""
        start, self.end = self.end, self.end + trace.length
        piece = cut_stimulus(self._stimulus, start, self.end - 1)
        alive = {golden_key(r) for r in self.alive}
        self._golden = {key: golden for key, golden in self._golden.items() if key in alive}
        self._seen = trace if self._tail is None else joined_observed(self._tail, trace)
        windows = {golden_key(r): r for r in self.alive}
        expected = {key: self._expected(r, start) for key, r in windows.items()}
        trials = tuple(self._trial(r, expected[golden_key(r)], start) for r in self.alive)
        self.alive = [t.reading for t in trials if t.difference.matches]
        self._tail = _last(self._seen, self._kept)
        return Step(piece, trials)

    def _expected(self, reading: Reading, start: int) -> ExpectedTrace:
        key = golden_key(reading)
        piece = cut_stimulus(self._felt[reading.reset_path], start, self.end - 1)
        golden = self._golden[key]
        trace, golden.state = expect(reading.model, piece, reading.kind, golden.state)
        self._promised[key] = trace if golden.tail is None else joined_expected(golden.tail, trace)
        golden.tail = _last(self._promised[key], self._kept)
        return trace

    def _trial(self, reading: Reading, expected: ExpectedTrace, start: int) -> Trial:
        key = golden_key(reading)
        promised, seen = self._promised[key], self._seen
        if seen is None:
            raise RuntimeError("a trial needs a window")
        origin = self.end - seen.length
        difference = find_difference(
            promised,
            seen,
            delays_cycles=reading.delays_cycles,
            masked=_within(self._masked[id(reading)], origin, self.end),
            begin=start - origin,
        )
        return Trial(reading, expected, _moved(difference, origin), self._golden[key].state or ())

    def whole(self, trial: Trial) -> tuple[Trial, Stimulus, ObservedTrace]:
        """A trial of the last window with traces that are numbered from the start of the stimulus.

        They tell what happened in that window and in a few cycles before it; before those they say
        nothing.
        """
        if self._seen is None:
            raise RuntimeError("a trial needs a window")
        origin = self.end - self._seen.length
        expected = _numbered_from(self._promised[golden_key(trial.reading)], origin)
        stimulus = cut_stimulus(self._stimulus, 0, self.end - 1)
        return replace(trial, expected=expected), stimulus, _numbered_from(self._seen, origin)


def _last(trace: T, cycles: int) -> T:
    first = max(trace.length - cycles, 0)
    if isinstance(trace, ExpectedTrace):
        return cut_expected(trace, first, trace.length - 1)
    return cut_observed(trace, first, trace.length - 1)


def _within(ranges: Ranges, begin: int, end: int) -> Ranges:
    inside = ranges[(ranges[:, 1] > begin) & (ranges[:, 0] < end)]
    return np.maximum(inside, begin) - begin


def _moved(difference: Difference, by: int) -> Difference:
    def moved(cycle: int | None) -> int | None:
        return None if cycle is None else cycle + by

    return Difference(
        tuple(
            SignalDifference(moved(s.first), moved(s.first_unknown), s.wrong_cycles, s.compared_cycles)
            for s in difference.signals
        )
    )


def _numbered_from(trace: T, origin: int) -> T:
    cycles = trace.cycles + origin
    cycles[:1] = 0
    return replace(trace, length=trace.length + origin, cycles=cycles)
