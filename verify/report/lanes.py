"""An excerpt cycle by cycle: one lane of bit strings per signal, ready to be drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from verify.report.values import differing_bits
from verify.results import Excerpt
from verify.signals import Column, ExpectedTrace, ObservedTrace, Reset

__all__ = ["PULSE_SHARES", "Lane", "Window", "window_of"]

BEFORE, AFTER = 96, 64
"""Cycles looked at on each side of the first difference."""

_RESET_CELLS = {Reset.HELD: "1", Reset.PULSED: "P", Reset.PULSED_EARLY: "p"}
PULSE_SHARES = {"P": (0.6, 0.8), "p": (0.15, 0.35)}
"""Where in its cycle a pulse of reset is drawn, the cycle beginning at an active edge."""

_OTHER_LEVEL = str.maketrans("01", "10")

SEARCHED = 4096
"""Cycles of an excerpt that are searched when nobody says where to look."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One signal over the cycles of a window: strings of 0, 1, x, z and - (not promised).

    A reset may be ``P`` or ``p``: a pulse in the second or the first half of the clock.
    """

    name: str
    role: str
    cells: tuple[str, ...]

    @property
    def steady(self) -> bool:
        """Nothing changes in the window."""
        return len(set(self.cells)) <= 1


@dataclass(frozen=True, slots=True)
class Window:
    """Cycles ``first`` to ``first + length - 1`` of a stimulus.

    ``differing``: (expected, observed) lanes of the outputs that differ, first to differ first;
    ``wrong`` holds for each the cycles of the window in which they do. ``matching``: the other
    outputs, as observed. ``masked``: cycles of the
    window that are not compared.
    ``mark``: the first difference.
    """

    first: int
    length: int
    mark: int
    inputs: tuple[Lane, ...]
    differing: tuple[tuple[Lane, Lane], ...]
    wrong: tuple[frozenset[int], ...]
    matching: tuple[Lane, ...]
    masked: frozenset[int]


def window_of(excerpt: Excerpt, cycle: int | None) -> Window | None:
    """The cycles around ``cycle`` (counted as in the stimulus), or around the first difference.

    None when there is nothing to draw.
    """
    length = min(excerpt.expected.length, excerpt.observed.length, excerpt.stimulus.length)
    if length < 1:
        return None
    mark = _first_difference(excerpt, min(length, SEARCHED)) if cycle is None else cycle - excerpt.first
    mark = min(max(mark, 0), length - 1)
    low, high = max(mark - BEFORE, 0), min(mark + AFTER, length)
    pairs, wrong = _compared(excerpt, low, high)
    chosen = sorted((i for i, found in enumerate(wrong) if found), key=lambda i: min(wrong[i]))
    return Window(
        excerpt.first + low,
        high - low,
        mark - low,
        _input_lanes(excerpt, low, high),
        tuple(pairs[i] for i in chosen),
        tuple(wrong[i] for i in chosen),
        tuple(have for i, (_, have) in enumerate(pairs) if i not in chosen),
        _masked(excerpt.masked, low, high),
    )


def _first_difference(excerpt: Excerpt, length: int) -> int:
    _, wrong = _compared(excerpt, 0, length)
    return min((min(found) for found in wrong if found), default=0)


def _compared(excerpt: Excerpt, low: int, high: int) -> tuple[list[tuple[Lane, Lane]], list[frozenset[int]]]:
    """Per output its two lanes over [low, high), and where in there they differ."""
    cycles = np.arange(low, high)
    masked = _masked(excerpt.masked, low, high)
    pairs, wrong = [], []
    for i, signal in enumerate(excerpt.expected.signals):
        want = _on_wire(excerpt, signal.name, _expected_bits(excerpt.expected, i, cycles))
        have = _on_wire(excerpt, signal.name, _observed_bits(excerpt.observed, i, cycles))
        name = _port(excerpt, signal.name)
        pairs.append((Lane(name, signal.name, want), Lane(name, signal.name, have)))
        both = enumerate(zip(want, have, strict=True))
        wrong.append(frozenset(c for c, (w, h) in both if c not in masked and differing_bits(w, h)))
    return pairs, wrong


def _port(excerpt: Excerpt, role: str) -> str:
    return excerpt.ports.get(role, role)


def _on_wire(excerpt: Excerpt, role: str, cells: list[str]) -> tuple[str, ...]:
    """What a probe on the port would show: a row goes by the port's name, so it has the port's levels."""
    inverted = role in excerpt.inverted
    return tuple(cell.translate(_OTHER_LEVEL) if inverted else cell for cell in cells)


def _masked(ranges: Sequence[tuple[int, int]], low: int, high: int) -> frozenset[int]:
    """Cycles of [low, high), counted from ``low``, that are not compared."""
    return frozenset(c - low for start, end in ranges for c in range(max(start, low), min(end, high)))


def _input_lanes(excerpt: Excerpt, low: int, high: int) -> tuple[Lane, ...]:
    stimulus = excerpt.stimulus
    cycles = np.arange(low, high)
    rows = np.searchsorted(stimulus.starts, cycles, side="right") - 1
    resets = stimulus.reset[rows]
    begun = stimulus.starts[rows] == cycles
    reset = Lane(
        "reset",
        "reset",
        tuple(
            _RESET_CELLS.get(reset, "0") if begins or reset == Reset.HELD else "0"
            for reset, begins in zip(map(Reset, resets.tolist()), begun.tolist(), strict=True)
        ),
    )
    lanes = [reset] if excerpt.stimulus.reset.any() else []
    for signal, values in zip(stimulus.signals, stimulus.values, strict=True):
        cells = [f"{int(v):0{signal.width}b}" for v in values[rows].tolist()]
        lanes.append(Lane(_port(excerpt, signal.name), signal.name, _on_wire(excerpt, signal.name, cells)))
    return tuple(lanes)


def _rows(trace: ExpectedTrace | ObservedTrace, cycles: Column) -> Column:
    return np.searchsorted(trace.cycles, cycles, side="right") - 1


def _expected_bits(trace: ExpectedTrace, index: int, cycles: Column) -> list[str]:
    rows = _rows(trace, cycles)
    width = trace.signals[index].width
    cares = None if trace.cares is None else trace.cares[index]
    values = trace.values[index][rows].tolist()
    masks = [trace.signals[index].mask] * len(values) if cares is None else cares[rows].tolist()
    # Before a delayed trace begins nothing is promised.
    return [
        "-" * width if row < 0 else _bits(value, ~mask, width, "--")
        for row, value, mask in zip(rows.tolist(), values, masks, strict=True)
    ]


def _observed_bits(trace: ObservedTrace, index: int, cycles: Column) -> list[str]:
    rows = _rows(trace, cycles)
    width = trace.signals[index].width
    unknown = None if trace.unknown is None else trace.unknown[index]
    values = trace.values[index][rows].tolist()
    unknowns = [0] * len(values) if unknown is None else unknown[rows].tolist()
    return [
        "x" * width if row < 0 else _bits(value, other, width, "zx")
        for row, value, other in zip(rows.tolist(), values, unknowns, strict=True)
    ]


def _bits(value: int, other: int, width: int, letters: str) -> str:
    """Bits of ``value``; where ``other`` is set, the letter that ``value``'s bit picks."""
    digits = []
    for bit in reversed(range(width)):
        is_set = value >> bit & 1
        digits.append(letters[is_set] if other >> bit & 1 else "01"[is_set])
    return "".join(digits)
