"""Cut, join and delay traces."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from verify.signals import (
    Column,
    ExpectedTrace,
    ObservedTrace,
    Reset,
    Signal,
    Stimulus,
    column,
    full,
    merged_cycles,
)

__all__ = [
    "cut_expected",
    "cut_observed",
    "cut_stimulus",
    "delayed",
    "joined_expected",
    "joined_observed",
]

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
    starts = stimulus.starts
    ends = starts + stimulus.cycles
    rows = slice(int(np.searchsorted(ends, first, side="right")), int(np.searchsorted(starts, last, "right")))
    reset = stimulus.reset[rows].copy()
    if len(reset) and starts[rows][0] < first and reset[0] >= Reset.PULSED:
        reset[0] = Reset.RELEASED  # the pulse came in the run's first cycle, which is not here
    cycles = np.minimum(ends[rows], last + 1) - np.maximum(starts[rows], first)
    return Stimulus(stimulus.signals, cycles, reset, tuple(v[rows] for v in stimulus.values))


def joined_expected(before: ExpectedTrace, after: ExpectedTrace) -> ExpectedTrace:
    """``after`` behind ``before``, over the same signals."""
    signals = after.signals
    values = _joined_columns(signals, before.values, after.values)
    cares: tuple[Column | None, ...] | None = None
    if before.cares is not None or after.cares is not None:
        parts = [
            [
                full(len(t.cycles), s.mask, s.width) if t.cares is None or t.cares[i] is None else t.cares[i]
                for i, s in enumerate(signals)
            ]
            for t in (before, after)
        ]
        cares = _joined_columns(signals, parts[0], parts[1])
    return ExpectedTrace(signals, before.length + after.length, _joined_cycles(before, after), values, cares)


def joined_observed(before: ObservedTrace, after: ObservedTrace) -> ObservedTrace:
    """``after`` behind ``before``, over the same signals."""
    signals = after.signals
    values = _joined_columns(signals, before.values, after.values)
    unknown: tuple[Column | None, ...] | None = None
    if before.unknown is not None or after.unknown is not None:
        parts = [
            [
                full(len(t.cycles), 0, s.width) if t.unknown is None or t.unknown[i] is None else t.unknown[i]
                for i, s in enumerate(signals)
            ]
            for t in (before, after)
        ]
        unknown = _joined_columns(signals, parts[0], parts[1])
    return ObservedTrace(
        signals, before.length + after.length, _joined_cycles(before, after), values, unknown
    )


def _joined_cycles(before: ExpectedTrace | ObservedTrace, after: ExpectedTrace | ObservedTrace) -> Cycles:
    return np.concatenate([before.cycles, after.cycles + before.length])


def _joined_columns(
    signals: Sequence[Signal], before: Sequence[Column | None], after: Sequence[Column | None]
) -> tuple[Column, ...]:
    pairs = zip(before, after, signals, strict=True)
    return tuple(column(np.concatenate([b, a]), s.width) for b, a, s in pairs)


def _rows(cycles: Cycles, first: int, last: int) -> tuple[Cycles, Cycles]:
    begin = int(np.searchsorted(cycles, first, side="right")) - 1
    end = int(np.searchsorted(cycles, last, side="right"))
    rows = np.arange(max(begin, 0), end)
    return rows, np.maximum(cycles[rows] - first, 0)


def _pick(values: Column | None, rows: Cycles) -> Column | None:
    return None if values is None else values[rows]
