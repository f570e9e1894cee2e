"""Compare two change traces on every cycle, at the cost of their changes.

Both traces are piecewise constant, so it is enough to look where either changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from verify.compare.masking import Ranges
from verify.signals import Column, ExpectedTrace, ObservedTrace, merged_cycles

__all__ = ["Difference", "SignalDifference", "find_difference"]


@dataclass(frozen=True, slots=True)
class SignalDifference:
    """How one output differs.

    ``first``: first differing cycle, None when it never differs. ``wrong_cycles``: how many differ.
    ``first_unknown``: first cycle that differs because of an x or z. ``compared_cycles``.
    """

    first: int | None
    first_unknown: int | None
    wrong_cycles: int
    compared_cycles: int


@dataclass(frozen=True, slots=True)
class Difference:
    """How two traces differ, one entry per output."""

    signals: tuple[SignalDifference, ...]

    @property
    def matches(self) -> bool:
        """No output differs on any compared cycle."""
        return all(s.first is None for s in self.signals)

    @property
    def first(self) -> int | None:
        """First cycle on which any output differs."""
        return min((s.first for s in self.signals if s.first is not None), default=None)

    @property
    def wrong_cycles(self) -> int:
        """Differing cycles, summed over outputs."""
        return sum(s.wrong_cycles for s in self.signals)

    @property
    def compared_cycles(self) -> int:
        """Cycles on which every output was compared."""
        return min((s.compared_cycles for s in self.signals), default=0)

    @property
    def wrong_at_first(self) -> tuple[int, ...]:
        """Indices of the outputs that differ on the first differing cycle."""
        first = self.first
        return tuple(i for i, s in enumerate(self.signals) if first is not None and s.first == first)


def find_difference(
    expected: ExpectedTrace,
    observed: ObservedTrace,
    *,
    delays_cycles: Sequence[int],
    masked: Ranges,
    begin: int = 0,
) -> Difference:
    """Compare ``observed[k]`` with ``expected[k - delay]`` from cycle ``begin`` on, one delay (>= 0) each.

    The first ``delay`` cycles and the ``masked`` ranges are not compared, but an x or z in a masked
    cycle still counts as a difference.
    Bits that the golden model does not promise are never compared.
    """
    if expected.signals != observed.signals or expected.length != observed.length:
        raise ValueError("only traces over the same outputs and cycles can be compared")
    frames: dict[int, _Frame] = {}
    found = []
    for i, delay in enumerate(delays_cycles):
        if delay not in frames:
            frames[delay] = _frame(expected, observed, delay, masked, begin)
        found.append(_compare(i, expected, observed, frames[delay]))
    return Difference(tuple(found))


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    """The stretches on which both traces and the mask are constant."""

    points: NDArray[np.int64]
    lengths: NDArray[np.int64]
    expected_rows: NDArray[np.intp]
    observed_rows: NDArray[np.intp]
    masked: NDArray[np.bool_]


def _frame(
    expected: ExpectedTrace, observed: ObservedTrace, delay: int, masked: Ranges, begin: int
) -> _Frame:
    length = observed.length
    delayed = expected.cycles + delay
    points = merged_cycles(delayed, observed.cycles, masked.ravel(), np.array([begin], np.int64))
    points = points[(points >= max(delay, begin)) & (points < length)]
    return _Frame(
        points,
        np.diff(points, append=length),
        np.searchsorted(delayed, points, side="right") - 1,
        np.searchsorted(observed.cycles, points, side="right") - 1,
        np.searchsorted(np.sort(masked[:, 0]), points, side="right")
        > np.searchsorted(np.sort(masked[:, 1]), points, side="right"),
    )


def _compare(index: int, expected: ExpectedTrace, observed: ObservedTrace, frame: _Frame) -> SignalDifference:
    differs = expected.values[index][frame.expected_rows] ^ observed.values[index][frame.observed_rows]
    care = None if expected.cares is None else expected.cares[index]
    if care is not None:
        care = care[frame.expected_rows]
        differs = differs & care
    wrong = _as_bool(differs) & ~frame.masked
    unknown = _unknown(index, observed, frame, care)
    first_unknown = None
    if unknown is not None:
        wrong |= unknown
        first_unknown = _first(frame.points, unknown)
    return SignalDifference(
        _first(frame.points, wrong),
        first_unknown,
        int(frame.lengths[wrong].sum()),
        int(frame.lengths[~frame.masked].sum()),
    )


def _unknown(
    index: int, observed: ObservedTrace, frame: _Frame, care: Column | None
) -> NDArray[np.bool_] | None:
    column = None if observed.unknown is None else observed.unknown[index]
    if column is None:
        return None
    unknown = column[frame.observed_rows]
    return _as_bool(unknown if care is None else unknown & care)


def _as_bool(column: Column) -> NDArray[np.bool_]:
    return np.asarray(column != 0, dtype=bool)


def _first(points: NDArray[np.int64], flags: NDArray[np.bool_]) -> int | None:
    hit = int(flags.argmax()) if len(flags) else 0
    return int(points[hit]) if len(flags) and flags[hit] else None
