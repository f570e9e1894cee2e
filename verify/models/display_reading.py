"""Read off a first observation of a display what its digits look like and what they say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from verify.models.display_layout import Layout
from verify.models.display_static import Panel
from verify.models.glyphs import ALL_LIT, BLANK, DECIMAL, VARIANTS, pattern_of
from verify.models.segment_wires import POINT
from verify.signals import Column, ObservedTrace, Signal, column

__all__ = ["PatternTrace", "compatible", "patterns_of_panel", "points_of", "stages_of"]

PatternTrace = Sequence[tuple[Column, NDArray[np.bool_]]]
"""Per digit, least significant first: the patterns, row by row, and where they are known."""


def patterns_of_panel(panel: Panel, observed: ObservedTrace) -> PatternTrace:
    """Of a display with lines of its own for every digit; points of a further port are put in."""
    words = [observed.values[i] for i in range(len(panel.signals))]
    unknown = [_unknown(observed, i) for i in range(len(panel.signals))]
    patterns = panel.patterns(words)
    found = []
    for i, pattern in enumerate(patterns):
        whole = pattern
        if panel.point:
            lit = np.asarray(words[-1] >> i & 1, dtype=np.int64) ^ int(panel.wires[0].active_low)
            whole = pattern & ALL_LIT | lit * POINT
        found.append((whole, ~unknown[0 if panel.packed else i]))
    return found


def compatible(glyphs: Sequence[int], seen: Iterable[int]) -> bool:
    """Whether a set of glyphs can be the one behind the patterns that were seen.

    A digit of which neither variant was seen, or both, says nothing.
    """
    shown = {pattern & ALL_LIT for pattern in seen}
    for digit, letters in VARIANTS.items():
        if digit >= len(DECIMAL):
            continue
        kinds = {pattern_of(DECIMAL[digit]), pattern_of(letters)}
        if len(kinds & shown) == 1 and glyphs[digit] in kinds and glyphs[digit] not in shown:
            return False
    return True


def points_of(patterns: PatternTrace) -> int:
    """A bit per digit whose decimal point is lit when it is first known."""
    points = 0
    for digit, (values, known) in enumerate(patterns):
        rows = np.flatnonzero(known)
        if len(rows) and int(values[rows[0]]) & POINT:
            points |= 1 << digit
    return points


def stages_of(
    layout: Layout, patterns: PatternTrace, glyphs: Sequence[int], observed: ObservedTrace
) -> ObservedTrace:
    """What the stages must have been; a digit that shows none of ``glyphs`` leaves its stage unknown."""
    values = [np.zeros(len(observed.cycles), np.int64) for _ in layout.moduli]
    unknown = [np.zeros(len(observed.cycles), bool) for _ in layout.moduli]
    table = np.full(ALL_LIT + 1, -1, np.int64)
    table[BLANK] = 0
    for digit, glyph in enumerate(glyphs[: len(DECIMAL)]):
        table[glyph] = digit
    for (stage, place), (pattern, known) in zip(layout.places, patterns, strict=True):
        digits = table[np.asarray(pattern, dtype=np.int64) & ALL_LIT]
        unknown[stage] |= ~known | (digits < 0)
        values[stage] += 10**place * np.maximum(digits, 0)
    signals = tuple(
        Signal(f"stages[{i}]", (modulo - 1).bit_length()) for i, modulo in enumerate(layout.moduli)
    )
    return ObservedTrace(
        signals,
        observed.length,
        observed.cycles,
        tuple(column(v & s.mask, s.width) for v, s in zip(values, signals, strict=True)),
        tuple(column(np.where(u, s.mask, 0), s.width) for u, s in zip(unknown, signals, strict=True)),
    )


def _unknown(observed: ObservedTrace, index: int) -> NDArray[np.bool_]:
    unknown = None if observed.unknown is None else observed.unknown[index]
    if unknown is None:
        return np.zeros(len(observed.cycles), dtype=bool)
    return np.asarray(unknown != 0, dtype=bool)
