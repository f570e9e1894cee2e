"""Cut and delay traces, for showing the cycles around a difference."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from verify.signals import Column, ExpectedTrace, ObservedTrace, Run, Stimulus, column, full, merged_cycles

__all__ = ["cut_expected", "cut_observed", "cut_stimulus", "delayed"]

Cycles = NDArray[np.int64]


def delayed(trace: ExpectedTrace, delays_cycles: Sequence[int]) -> ExpectedTrace:
    """Each output later by its own delay; nothing is promised before its first value arrives."""
    points = [np.zeros(1, np.int64), *(trace.cycles + d for d in set(delays_cycles))]
    cycles = merged_cycles(*points)
    cycles = cycles[cycles < max(trace.length, 1)]
    values, cares = [], []
    for i, (signal, delay) in enumerate(zip(trace.signals, delays_cycles, strict=True)):
        rows = np.searchsorted(trace.cycles + delay, cycles, side="right") - 1
        early = rows < 0
        care = None if trace.cares is None else trace.cares[i]
        masks = full(len(cycles), signal.mask, signal.width) if care is None else care[np.maximum(rows, 0)]
        values.append(column(trace.values[i][np.maximum(rows, 0)], signal.width))
        cares.append(column(np.where(early, 0, masks), signal.width))
    return ExpectedTrace(trace.signals, trace.length, cycles, tuple(values), tuple(cares))


def cut_expected(trace: ExpectedTrace, first: int, last: int) -> ExpectedTrace:
    """The cycles ``first`` to ``last`` (both included) as a trace of their own."""
    rows, cycles = _rows(trace.cycles, first, last)
    cares = None if trace.cares is None else tuple(_pick(c, rows) for c in trace.cares)
    return ExpectedTrace(trace.signals, last - first + 1, cycles, tuple(v[rows] for v in trace.values), cares)


def cut_observed(trace: ObservedTrace, first: int, last: int) -> ObservedTrace:
    """The cycles ``first`` to ``last`` (both included) as a trace of their own."""
    rows, cycles = _rows(trace.cycles, first, last)
    unknown = None if trace.unknown is None else tuple(_pick(c, rows) for c in trace.unknown)
    return ObservedTrace(
        trace.signals, last - first + 1, cycles, tuple(v[rows] for v in trace.values), unknown
    )


def cut_stimulus(stimulus: Stimulus, first: int, last: int) -> Stimulus:
    """The cycles ``first`` to ``last`` (both included) as a stimulus of their own."""
    runs, at = [], 0
    for run in stimulus.runs():
        begin, end = max(at, first), min(at + run.cycles, last + 1)
        if begin < end:
            runs.append(Run(end - begin, run.values, run.reset))
        at += run.cycles
    return Stimulus.of(stimulus.signals, runs)


def _rows(cycles: Cycles, first: int, last: int) -> tuple[Cycles, Cycles]:
    begin = int(np.searchsorted(cycles, first, side="right")) - 1
    end = int(np.searchsorted(cycles, last, side="right"))
    rows = np.arange(max(begin, 0), end)
    return rows, np.maximum(cycles[rows] - first, 0)


def _pick(values: Column | None, rows: Cycles) -> Column | None:
    return None if values is None else values[rows]
