"""Which latches explain an observation.

A search in step with the observation: each branch is a model with some facts still open, and the
state that it has come to. A branch that needs an open fact parts into one for each value; a branch
that differs, at every latency and under every kind of reset, is dropped. Nothing else is: what a reset
excuses, whatever its kind, is not compared here, so that no branch goes that a check would keep.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from heapq import nlargest

import numpy as np
from numpy.typing import NDArray

from verify.models.family import USUAL_LATENCIES_CYCLES
from verify.models.golden import Leap, State
from verify.models.latch import Latch, OpenFact
from verify.models.latched import Latched
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Reset, Run, Stimulus

__all__ = ["fitting"]

LATEST_RESET_CYCLES = 3
"""How late a reset may come and end, as a check allows it."""

FEW_ROWS = 32
"""Stretches of up to so many changes are compared one by one."""

NEAREST = 12
"""Of branches that all differ so many of those that did so last are kept, for what is said of them."""

Mode = tuple[ResetKind, int, int]
"""The kind of reset, how late it comes, and how much later it ends."""

Branch = tuple[int, Latch, State | None, tuple[int, ...]]
"""Which model, its latch, the state before the next stretch (None: as after reset), and the latencies
at which nothing has differed."""


def fitting(
    models: Sequence[Latched],
    stimulus: Stimulus,
    observed: ObservedTrace,
    *,
    reset: bool,
    likely: Sequence[int],
) -> list[tuple[int, Latch]]:
    """(place among ``models``, latch) of all that explain ``observed``, facts that it does not show open.

    ``likely``: the places that are tried first, the others only where none of these fits.
    Where none does at all: those that explain the longest part of it, with the rest as it mostly is.
    """
    search = _Search(models, stimulus, observed, _modes(reset))
    others = [index for index in range(len(models)) if index not in likely]
    for places in (likely, others):
        if found := search.run(places):
            return found
    nearest = nlargest(NEAREST, search.dropped, key=lambda drop: drop[0])
    return list(dict.fromkeys((index, latch.usual()) for _, index, latch in nearest))


def _modes(reset: bool) -> tuple[Mode, ...]:
    if not reset:
        return ((ResetKind.ASYNCHRONOUS, 0, 0),)
    late = range(LATEST_RESET_CYCLES + 1)
    found: list[Mode] = [(ResetKind.ASYNCHRONOUS, 0, release) for release in late]
    return (*found, *((ResetKind.SYNCHRONOUS, delay, release) for delay in late for release in late))


@dataclass(frozen=True, eq=False)
class _Search:
    models: Sequence[Latched]
    stimulus: Stimulus
    observed: ObservedTrace
    modes: tuple[Mode, ...]

    @cached_property
    def dropped(self) -> list[tuple[int, int, Latch]]:
        """(cycle of the difference, place, latch) of what did not fit."""
        return []

    @cached_property
    def _known(self) -> dict[tuple[int, Latch], Latched]:
        return {}

    def run(self, places: Sequence[int]) -> list[tuple[int, Latch]]:
        """What is left of these models at the end."""
        everything = frozenset(range(len(self.modes)))
        branches: dict[Branch, frozenset[int]] = {
            (index, self.models[index].latch, None, tuple(USUAL_LATENCIES_CYCLES)): everything
            for index in places
        }
        for stretch in self._stretches():
            branches = self._through(branches, stretch)
            if not branches:
                return []
        return list(dict.fromkeys((index, latch) for index, latch, _, _ in branches))

    def _through(
        self, branches: dict[Branch, frozenset[int]], stretch: _Stretch
    ) -> dict[Branch, frozenset[int]]:
        found: dict[Branch, frozenset[int]] = {}
        left = list(branches.items())
        while left:
            branch, modes = left.pop()
            index, latch, state, alive = branch
            model = self._model(index, latch)
            for felt, alike in stretch.apart(modes, self.modes):
                try:
                    if felt.run.reset is Reset.HELD:  # nothing of it is compared
                        key = (index, latch, _held_state(model, state, felt.run), alive)
                        found[key] = found.get(key, frozenset()) | alike
                        continue
                    leap = self._played(model, felt, state)
                except OpenFact as question:
                    left += [((index, way, state, alive), alike) for way in latch.decided(question.name)]
                    continue
                differing = {late: self._first(leap, stretch, late) for late in alive}
                fits = tuple(late for late in alive if differing[late] is None)
                if fits:
                    key = (index, latch, leap.state, fits)
                    found[key] = found.get(key, frozenset()) | alike
                else:
                    self.dropped.append((max(d or 0 for d in differing.values()), index, latch))
        return found

    def _played(self, model: Latched, felt: _Felt, state: State | None) -> Leap:
        run = felt.run
        if run.reset is Reset.RELEASED and state is not None:
            return model.leap(state, run.values, run.cycles)
        trace, after = expect(model, Stimulus.of(model.inputs, [run]), felt.kind, state)
        return Leap(after, trace.cycles, trace.values, trace.cares)

    def _model(self, index: int, latch: Latch) -> Latched:
        if (index, latch) not in self._known:
            self._known[index, latch] = replace(self.models[index], latch=latch)
        return self._known[index, latch]

    # --- stretches ---------------------------------------------------------------------------

    def _stretches(self) -> Iterator[_Stretch]:
        """Between any two of them neither inputs nor reset change, whatever the mode."""
        stimulus = self.stimulus
        ranges = [_held(stimulus, mode) for mode in self.modes]
        edges = np.unique(np.concatenate([stimulus.starts, *(r.ravel() for r in ranges)]))
        edges = edges[edges < stimulus.length]
        rows = np.searchsorted(stimulus.starts, edges, side="right") - 1
        inside = [_inside(edges, held) for held in ranges]
        lengths = np.diff(edges, append=stimulus.length).tolist()
        runs = list(stimulus.runs())
        begins = stimulus.starts[rows] == edges
        for place, (edge, row, cycles) in enumerate(zip(edges.tolist(), rows.tolist(), lengths, strict=True)):
            pulse = runs[row].reset if runs[row].reset.pulsed and begins[place] else Reset.RELEASED
            resets = tuple(Reset.HELD if held[place] else pulse for held in inside)
            yield _Stretch(edge, Run(cycles, runs[row].values), resets)

    @cached_property
    def _excused(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Where something of a reset may still be under way, at latency 0: begins and ends."""
        touched = self.stimulus.reset != Reset.RELEASED
        starts = self.stimulus.starts[touched]
        held = np.where(self.stimulus.reset == Reset.HELD, self.stimulus.cycles, 1)[touched]
        return starts, starts + held + 2 * LATEST_RESET_CYCLES

    @cached_property
    def _rows(self) -> tuple[list[int], list[tuple[int, ...]], list[tuple[int, ...]] | None]:
        """The observation as lists: cycles, values, unknown bits."""
        seen = self.observed
        values = list(zip(*(c.tolist() for c in seen.values), strict=True))
        if seen.unknown is None:
            return seen.cycles.tolist(), values, None
        zeros = [0] * len(values)
        unknown = zip(*(zeros if u is None else u.tolist() for u in seen.unknown), strict=True)
        return seen.cycles.tolist(), values, list(unknown)

    def _first(self, leap: Leap, stretch: _Stretch, late: int) -> int | None:
        """The first cycle that differs in a stretch, as it comes out ``late``."""
        begin = stretch.start + late
        end = min(begin + stretch.run.cycles, self.observed.length)
        if begin >= end:
            return None
        cycles, _, _ = self._rows
        first, last = bisect_right(cycles, begin), bisect_left(cycles, end)
        if len(leap.offsets) + last - first <= FEW_ROWS:
            points = sorted({*(leap.offsets + begin).tolist(), *cycles[first:last]})
            return self._first_of_few(leap, begin, late, [p for p in points if p < end])
        changes = np.unique(np.concatenate([leap.offsets + begin, self.observed.cycles[first:last]]))
        changes = changes[changes < end]
        wanted = np.searchsorted(leap.offsets + begin, changes, side="right") - 1
        got = np.searchsorted(self.observed.cycles, changes, side="right") - 1
        wrong = np.zeros(len(changes), dtype=bool)
        for i, signal in enumerate(self.observed.signals):
            bits = leap.columns[i][wanted] ^ self.observed.values[i][got]
            unknown = None if self.observed.unknown is None else self.observed.unknown[i]
            if unknown is not None:
                bits = bits | unknown[got]
            care = None if leap.cares is None else leap.cares[i]
            wrong |= np.asarray((bits & (signal.mask if care is None else care[wanted])) != 0, dtype=bool)
        wrong &= ~self._is_excused(changes, late)
        return int(changes[int(wrong.argmax())]) if wrong.any() else None

    def _first_of_few(self, leap: Leap, begin: int, late: int, points: list[int]) -> int | None:
        cycles, values, unknown = self._rows
        offsets = leap.offsets.tolist()
        for point in points:
            want, row = bisect_right(offsets, point - begin) - 1, bisect_right(cycles, point) - 1
            for i, column in enumerate(leap.columns):
                bits = int(column[want]) ^ values[row][i]
                if unknown is not None:
                    bits |= unknown[row][i]
                care = None if leap.cares is None else leap.cares[i]
                if care is not None:
                    bits &= int(care[want])
                if bits and not self._is_excused(np.array([point]), late)[0]:
                    return point
        return None

    def _is_excused(self, points: NDArray[np.int64], late: int) -> NDArray[np.bool_]:
        begins, ends = self._excused
        begun = np.searchsorted(begins, points, side="right")
        ended = np.searchsorted(np.sort(ends) + late, points, side="right")
        return np.asarray(begun > ended, dtype=bool)


@dataclass(frozen=True, slots=True)
class _Felt:
    """One stretch as a design in one mode feels it."""

    run: Run
    kind: ResetKind


@dataclass(frozen=True, slots=True, eq=False)
class _Stretch:
    """``resets``: what the reset does in it, mode by mode."""

    start: int
    run: Run
    resets: tuple[Reset, ...]

    def apart(self, modes: Iterable[int], kinds: Sequence[Mode]) -> Iterator[tuple[_Felt, frozenset[int]]]:
        """The modes by what they make of it."""
        groups: dict[tuple[Reset, ResetKind], set[int]] = {}
        for mode in modes:
            reset = self.resets[mode]
            kind = ResetKind.ASYNCHRONOUS if reset is Reset.RELEASED else kinds[mode][0]
            if reset.pulsed and kind is ResetKind.SYNCHRONOUS:
                reset, kind = Reset.RELEASED, ResetKind.ASYNCHRONOUS
            groups.setdefault((reset, kind), set()).add(mode)
        for (reset, kind), alike in groups.items():
            run = Run(self.run.cycles, self.run.values, reset)
            yield _Felt(run, kind), frozenset(alike)


def _held_state(model: Latched, state: State | None, run: Run) -> State:
    state = model.initial() if state is None else model.after_reset(state)
    for _ in range(run.cycles):
        following = model.after_held(state, run.values)
        if following == state:
            break
        state = following
    return state


def _held(stimulus: Stimulus, mode: Mode) -> NDArray[np.int64]:
    """Half-open cycle ranges, int64[n, 2], in which a design in that mode is held."""
    _, late, release = mode
    starts, ends = stimulus.starts, stimulus.starts + stimulus.cycles
    held = stimulus.reset == Reset.HELD
    ranges = [np.stack([starts[held] + late, ends[held] + late + release], axis=1)]
    if release:  # what it clears at once, a pulse between edges clears as well
        pulsed = starts[stimulus.pulsed]
        ranges.append(np.stack([pulsed, pulsed + release], axis=1))
    return np.concatenate(ranges).astype(np.int64)


def _inside(cycles: NDArray[np.int64], ranges: NDArray[np.int64]) -> NDArray[np.bool_]:
    begun = np.searchsorted(np.sort(ranges[:, 0]), cycles, side="right")
    ended = np.searchsorted(np.sort(ranges[:, 1]), cycles, side="right")
    return np.asarray(begun > ended, dtype=bool)
