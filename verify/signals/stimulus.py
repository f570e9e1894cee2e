"""A stimulus: what is driven, as runs of steady inputs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from verify.signals.columns import Column, column
from verify.signals.signal import Signal

__all__ = ["Reset", "Run", "Stimulus", "joined"]


class Reset(IntEnum):
    """What the reset does during a run.

    ``PULSED``: the reset is asserted and released again between two active clock edges, in the second
    half of the run's first cycle, before that cycle's outputs are sampled. An asynchronous reset acts
    on it, a synchronous one never sees it. ``PULSED_EARLY``: the same in the first half, right after
    the active edge; to a golden model they are one.
    """

    RELEASED = 0
    HELD = 1
    PULSED = 2
    PULSED_EARLY = 3

    @property
    def pulsed(self) -> bool:
        """Whether it comes and goes between two active edges."""
        return self >= Reset.PULSED


@dataclass(frozen=True, slots=True)
class Run:
    """Hold these input values for ``cycles`` cycles (at least 1); values in the order of the signals."""

    cycles: int
    values: tuple[int, ...] = ()
    reset: Reset = Reset.RELEASED


@dataclass(frozen=True, slots=True, eq=False)
class Stimulus:
    """A list of runs, one row each.

    ``cycles`` int64[n] >= 1; ``reset`` uint8[n] of :class:`Reset`; ``values`` one column[n] per
    signal. Inputs change away from the clock edge, at the start of a run's first cycle.
    """

    signals: tuple[Signal, ...]
    cycles: NDArray[np.int64]
    reset: NDArray[np.uint8]
    values: tuple[Column, ...]

    @classmethod
    def of(cls, signals: Iterable[Signal], runs: Iterable[Run]) -> Stimulus:
        """Build from runs, row by row."""
        signals, runs = tuple(signals), list(runs)
        for run in runs:
            if run.cycles < 1 or len(run.values) != len(signals):
                raise ValueError(f"a run needs cycles >= 1 and {len(signals)} values: {run}")
        return cls(
            signals,
            np.array([run.cycles for run in runs], dtype=np.int64),
            np.array([run.reset for run in runs], dtype=np.uint8),
            tuple(column([run.values[i] for run in runs], s.width) for i, s in enumerate(signals)),
        )

    @classmethod
    def dense(cls, signals: Iterable[Signal], values: Iterable[Column]) -> Stimulus:
        """One cycle per row, reset released: for sweeps of a converter or decoder."""
        signals, values = tuple(signals), tuple(values)
        rows = len(values[0]) if values else 0
        return cls(signals, np.ones(rows, np.int64), np.zeros(rows, np.uint8), values)

    def __len__(self) -> int:
        """Number of runs."""
        return len(self.cycles)

    @property
    def length(self) -> int:
        """Number of clock cycles."""
        return int(self.cycles.sum())

    @property
    def pulsed(self) -> NDArray[np.bool_]:
        """Which rows begin with a pulse of reset, in either half of the clock, bool[n]."""
        return np.asarray(self.reset >= Reset.PULSED, dtype=bool)

    @property
    def starts(self) -> NDArray[np.int64]:
        """The cycle at which each run begins, int64[n]."""
        ends: NDArray[np.int64] = np.cumsum(self.cycles)
        return ends - self.cycles

    def runs(self) -> Iterator[Run]:
        """The rows as :class:`Run` values."""
        rows = zip(*(c.tolist() for c in self.values), strict=True) if self.values else iter([()] * len(self))
        for cycles, reset, values in zip(self.cycles.tolist(), self.reset.tolist(), rows, strict=True):
            yield Run(cycles, tuple(values), Reset(reset))

    def last_runs(self, count: int) -> Iterator[Run]:
        """The last ``count`` rows, ``count`` >= 1."""
        rows = tuple(c[-count:] for c in self.values)
        return Stimulus(self.signals, self.cycles[-count:], self.reset[-count:], rows).runs()

    def then(self, other: Stimulus) -> Stimulus:
        """This stimulus followed by ``other`` over the same signals."""
        return joined([self, other])


def joined(stimuli: Sequence[Stimulus]) -> Stimulus:
    """One stimulus (at least one) after the other, over the same signals."""
    signals = stimuli[0].signals
    if any(stimulus.signals != signals for stimulus in stimuli):
        raise ValueError("two stimuli over different signals cannot be joined")
    return Stimulus(
        signals,
        np.concatenate([s.cycles for s in stimuli]),
        np.concatenate([s.reset for s in stimuli]),
        tuple(np.concatenate([s.values[i] for s in stimuli]) for i in range(len(signals))),
    )
