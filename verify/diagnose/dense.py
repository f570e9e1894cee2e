"""Short observations laid out cycle by cycle: many latencies are compared in little time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from verify.compare import Ranges
from verify.signals import Column, ExpectedTrace, ObservedTrace

__all__ = ["LONGEST_CYCLES", "Dense", "laid_out"]

LONGEST_CYCLES = 4_000
"""Longer observations are compared at their changes only."""


@dataclass(frozen=True, slots=True, eq=False)
class Dense:
    """``values`` and ``unknown`` of every output, one entry per cycle."""

    length: int
    values: tuple[Column, ...]
    unknown: tuple[Column | None, ...]
    skips: dict[object, NDArray[np.bool_]] = field(default_factory=dict)

    @classmethod
    def of(cls, observed: ObservedTrace) -> Dense | None:
        """None for a long one."""
        if observed.length > LONGEST_CYCLES:
            return None
        lengths = np.diff(observed.cycles, append=observed.length)
        unknown = observed.unknown or (None,) * len(observed.values)
        return cls(
            observed.length,
            tuple(np.repeat(v, lengths) for v in observed.values),
            tuple(None if u is None else np.repeat(u, lengths) for u in unknown),
        )

    def skipped(self, key: object, masked: Callable[[], Ranges]) -> NDArray[np.bool_]:
        """The cycles in ``masked()``, remembered under ``key``."""
        found = self.skips.get(key)
        if found is None:
            found = np.zeros(self.length, dtype=bool)
            for begin, end in masked().tolist():
                found[begin:end] = True
            self.skips[key] = found
        return found

    def compare(
        self,
        trace: tuple[tuple[Column, ...], tuple[Column | None, ...]],
        delays: Sequence[int],
        skipped: NDArray[np.bool_],
        without: Mapping[int, int],
    ) -> tuple[int | None, int, float]:
        """First wrong cycle, cycles compared, and the share of them that is wrong.

        ``trace``: expected values and masks cycle by cycle, see :func:`laid_out`. ``without``: bits
        of an output that are not compared. An x or z counts as wrong in skipped cycles too.
        """
        columns, cares = trace
        first: int | None = None
        compared, least, wrong_cycles = 0, self.length, 0
        for i, delay in enumerate(delays):
            span = self.length - delay
            if span <= 0:
                return 0, 0, 1.0
            bits: Column = columns[i][:span] ^ self.values[i][delay:]
            care = cares[i]
            if care is not None:
                bits = bits & care[:span]
            if i in without:
                bits = bits & ~without[i]
            skip = skipped[delay:]
            wrong = np.asarray(bits != 0, dtype=bool)
            wrong &= ~skip
            unclear = self.unknown[i]
            if unclear is not None and i not in without:
                unknown = unclear[delay:] if care is None else unclear[delay:] & care[:span]
                wrong |= np.asarray(unknown != 0, dtype=bool)
            compared_here = int(span - np.count_nonzero(skip))
            compared += compared_here
            least = min(least, compared_here)
            if wrong.any():
                at = int(wrong.argmax()) + delay
                first = at if first is None else min(first, at)
                wrong_cycles += int(np.count_nonzero(wrong))
        return first, least, wrong_cycles / max(compared, 1)


def laid_out(trace: ExpectedTrace) -> tuple[tuple[Column, ...], tuple[Column | None, ...]]:
    """A short expected trace cycle by cycle: values and masks."""
    lengths = np.diff(trace.cycles, append=trace.length)
    cares = trace.cares or (None,) * len(trace.values)
    return (
        tuple(np.repeat(v, lengths) for v in trace.values),
        tuple(None if c is None else np.repeat(c, lengths) for c in cares),
    )
