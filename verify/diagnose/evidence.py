"""Read off observations what a fault is likely to be: values, their successors, distances in time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from verify.signals import ObservedTrace, Reset, Stimulus

__all__ = ["Evidence"]

MOST_STEPS = 200_000
"""Changes of one output that are looked at, the latest ones."""

LISTED = 6
"""So many different numbers are read off at most, the most frequent first."""


class Evidence:
    """What the observed outputs did. ``seen``: the observations that have a trace; ``traces``: those."""

    def __init__(self, seen: Sequence[tuple[Stimulus, ObservedTrace]]) -> None:
        self.seen = list(seen)
        self.traces: list[ObservedTrace] = [trace for _, trace in self.seen]
        self._tables: dict[int, dict[tuple[int, ...], tuple[int, ...]]] = {}
        self._steps: dict[int, Counter[tuple[int, int]]] = {}

    def steps(self, output: int) -> Counter[tuple[int, int]]:
        """How often output ``output`` went from one value to another."""
        if output not in self._steps:
            found: Counter[tuple[int, int]] = Counter()
            for trace in self.traces:
                values = _known(trace, output)[1][-MOST_STEPS:].tolist()
                found.update(pairwise(values))
            self._steps[output] = found
        return self._steps[output]

    def values(self, output: int) -> set[int]:
        """Every known value of an output."""
        found: set[int] = set()
        for trace in self.traces:
            found.update(int(v) for v in np.unique(_known(trace, output)[1]))
        return found

    def gaps(self, output: int, *, rising: bool = False) -> list[int]:
        """Distances in clocks between successive changes (or rises to 1) of an output, frequent first."""
        found: Counter[int] = Counter()
        for trace in self.traces:
            cycles, values = _known(trace, output)
            if rising:
                cycles = cycles[1:][(values[1:] == 1) & (values[:-1] == 0)]
            found.update(np.diff(cycles).tolist())
        return [gap for gap, _ in found.most_common(LISTED)]

    def widths(self, output: int, level: int) -> list[int]:
        """For how many clocks an output stays at ``level``, frequent first."""
        found: Counter[int] = Counter()
        for trace in self.traces:
            cycles, values = _known(trace, output)
            lengths = np.diff(cycles)
            found.update(lengths[values[:-1] == level].tolist())
        return [gap for gap, _ in found.most_common(LISTED)]

    def tops(self, output: int) -> list[int]:
        """Values after which an output fell or rose by more than one, frequent first."""
        found: Counter[int] = Counter()
        for (before, after), count in self.steps(output).items():
            if abs(after - before) > 1:
                found[before] += count
        return [value for value, _ in found.most_common(LISTED)]

    def before_change(self, changing: int, other: int) -> list[int]:
        """The values that output ``other`` had just before ``changing`` changed, frequent first."""
        found: Counter[int] = Counter()
        for trace in self.traces:
            values = trace.values[changing]
            rows = np.flatnonzero(np.asarray(values[1:] != values[:-1], dtype=bool))[-MOST_STEPS:]
            found.update(trace.values[other][rows].tolist())
        return [value for value, _ in found.most_common(LISTED)]

    def table(self, inputs: int, latency_cycles: int) -> dict[tuple[int, ...], tuple[int, ...]]:
        """Inputs -> outputs ``latency_cycles`` later, where they were always the same and known.

        Stretches around a reset are left out.
        """
        if latency_cycles not in self._tables:
            self._tables[latency_cycles] = self._table(inputs, latency_cycles)
        return self._tables[latency_cycles]

    def _table(self, inputs: int, latency: int) -> dict[tuple[int, ...], tuple[int, ...]]:
        found: dict[tuple[int, ...], tuple[int, ...]] = {}
        spoiled: set[tuple[int, ...]] = set()
        for stimulus, trace in self.seen:
            starts = stimulus.starts
            cycles = np.unique(np.concatenate([starts + latency, trace.cycles]))
            cycles = cycles[(cycles >= latency) & (cycles < trace.length)]
            cycles = cycles[~_near_reset(stimulus, cycles, latency)][:MOST_STEPS]
            given = np.searchsorted(starts, cycles - latency, side="right") - 1
            shown = np.searchsorted(trace.cycles, cycles, side="right") - 1
            columns = [stimulus.values[i][given].tolist() for i in range(inputs)]
            results = [v[shown].tolist() for v in trace.values]
            unknown = [c[shown].tolist() for c in trace.unknown or () if c is not None]
            dark = [any(row) for row in zip(*unknown, strict=True)] if unknown else [False] * len(cycles)
            for key, value, unclear in zip(
                zip(*columns, strict=True), zip(*results, strict=True), dark, strict=True
            ):
                if unclear or found.setdefault(key, value) != value:
                    spoiled.add(key)
        return {k: v for k, v in found.items() if k not in spoiled}

    @cached_property
    def changes(self) -> int:
        """Rows in all traces."""
        return sum(len(t.cycles) for t in self.traces)


def _near_reset(stimulus: Stimulus, cycles: NDArray[np.int64], latency: int) -> NDArray[np.bool_]:
    """Whether a reset is held, or was a few clocks ago."""
    resets = stimulus.reset != Reset.RELEASED
    begins = stimulus.starts[resets]
    ends = begins + np.where(stimulus.reset[resets] == Reset.HELD, stimulus.cycles[resets], 1) + latency + 1
    return np.asarray(
        np.searchsorted(begins, cycles, side="right") > np.searchsorted(ends, cycles, side="right"),
        dtype=bool,
    )


def _known(trace: ObservedTrace, output: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Cycles and values at which an output is known and changes."""
    values = trace.values[output]
    keep = np.ones(len(values), dtype=bool)
    unknown = None if trace.unknown is None else trace.unknown[output]
    if unknown is not None:
        keep &= np.asarray(unknown == 0, dtype=bool)
    cycles, values = trace.cycles[keep], values[keep]
    if len(values) > 1:
        changed = np.concatenate([[True], np.asarray(values[1:] != values[:-1], dtype=bool)])
        cycles, values = cycles[changed], values[changed]
    return cycles, values
