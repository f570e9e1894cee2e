"""What the pictures of a result are drawn from: bounded, plain, and without a word of layout."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "Axis",
    "Binding",
    "CoverageMap",
    "DigitLook",
    "DisplayLook",
    "Driven",
    "InnerSignal",
    "Internals",
    "ScanRate",
]


@dataclass(frozen=True, slots=True)
class Axis:
    """``values``: how many there are, from 0 on. ``per_cell``: so many of them share a cell.

    ``labels``: one for each cell; empty: the numbers themselves.
    """

    name: str
    values: int
    per_cell: int = 1
    labels: tuple[str, ...] = ()

    @property
    def cells(self) -> int:
        """Cells along the axis."""
        return -(-self.values // self.per_cell)

    def span(self, cell: int) -> tuple[int, int]:
        """The first and the last value of a cell."""
        first = cell * self.per_cell
        return first, min(first + self.per_cell, self.values) - 1

    def text(self, cell: int) -> str:
        """A cell in words: its label, its number, or its first and last number."""
        if self.labels:
            return self.labels[cell]
        first, last = self.span(cell)
        return f"{first:,}" if first == last else f"{first:,} to {last:,}"


@dataclass(frozen=True, slots=True)
class CoverageMap:
    """Which values, or pairs of values, the stimuli reached; at most some ten thousand cells.

    ``reached``: row by row, how many of a cell's values were reached; ``down`` None: a single row.
    ``patterns``: what a digit shows there, row by row (bit 0: segment a, bit 7: the point); None: it
    depends on what came before.
    """

    name: str
    across: Axis
    down: Axis | None
    reached: tuple[int, ...]
    patterns: tuple[int | None, ...] = ()

    @property
    def rows(self) -> int:
        """Number of rows."""
        return 1 if self.down is None else self.down.cells

    def size(self, row: int, cell: int) -> int:
        """How many values the cell stands for."""
        first, last = self.across.span(cell)
        size = last - first + 1
        if self.down is not None:
            first, last = self.down.span(row)
            size *= last - first + 1
        return size

    def count(self, row: int, cell: int) -> int:
        """How many of them were reached."""
        return self.reached[row * self.across.cells + cell]

    @property
    def total(self) -> int:
        """All values."""
        return self.across.values * (1 if self.down is None else self.down.values)


@dataclass(frozen=True, slots=True)
class DigitLook:
    """One digit as it looks. Patterns: bit 0 is segment a, bit 6 segment g, bit 7 the point; set is lit.

    ``promised``: the segments that the model says anything of. ``unknown``: those that are x or z.
    ``cycle``: when it looks like that; None: it was not its turn yet.
    """

    port: str
    cycle: int | None
    expected: int = 0
    promised: int = 0
    observed: int = 0
    unknown: int = 0
    has_point: bool = False

    @property
    def differs(self) -> bool:
        """Expected and observed are not the same."""
        return bool((self.expected ^ self.observed | self.unknown) & self.promised)


@dataclass(frozen=True, slots=True)
class DisplayLook:
    """The digits around a difference, least significant first.

    ``scanned``: they light one after the other, each is shown as in its latest turn.
    """

    digits: tuple[DigitLook, ...]
    scanned: bool = False


@dataclass(frozen=True, slots=True)
class Driven:
    """Stimuli of one purpose: how many, how many clocks of them in all, how many resets."""

    name: str
    stimuli: int
    clocks: int
    resets: int = 0


@dataclass(frozen=True, slots=True)
class Binding:
    """A role and the port that it is bound to."""

    role: str
    port: str
    width: int
    direction: Literal["input", "output"]


@dataclass(frozen=True, slots=True)
class ScanRate:
    """How often each digit of a scanned display is lit on the board.

    ``period_cycles``: clocks of the board in which every digit has its turn.
    """

    refresh_hz: float
    digits: int
    period_cycles: int

    @property
    def flickers(self) -> bool:
        """Below about 60 Hz most eyes see it (common practice, no source)."""
        return self.refresh_hz < LEAST_REFRESH_HZ


LEAST_REFRESH_HZ = 60
"""Common practice, no source."""


@dataclass(frozen=True, slots=True)
class InnerSignal:
    """A signal inside a design in some clocks; ``scope``: the instances it is in, below the design.

    ``cells``: one string of 0, 1, x and z per clock, most significant bit first, as sampled just
    before the active edge that ends it.
    """

    scope: tuple[str, ...]
    name: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Internals:
    """What was inside a design around a difference; ``first``: the clock of the first cells."""

    first: int
    signals: tuple[InnerSignal, ...]
