"""A digit on seven segments as paths, and in words."""

from __future__ import annotations

from verify.models.glyphs import ALL_LIT, BLANK, DASH, HEXADECIMAL, VARIANTS, letters_of, pattern_of
from verify.report.html.figure import number

__all__ = ["DIGIT_HEIGHT", "DIGIT_WIDTH", "outlines", "pattern_words", "segment_path"]

DIGIT_WIDTH, DIGIT_HEIGHT = 60.0, 100.0
"""The box in which segments are drawn, the point to the right of it."""

POINT = 7

_SEGMENTS = (
    ((8, 3), (52, 3), (44, 12), (16, 12)),
    ((55, 6), (55, 47), (51, 49), (46, 44), (46, 15)),
    ((55, 94), (55, 53), (51, 51), (46, 56), (46, 85)),
    ((8, 97), (52, 97), (44, 88), (16, 88)),
    ((5, 94), (5, 53), (9, 51), (14, 56), (14, 85)),
    ((5, 6), (5, 47), (9, 49), (14, 44), (14, 15)),
    ((12, 50), (17, 45.5), (43, 45.5), (48, 50), (43, 54.5), (17, 54.5)),
    ((60, 89), (68, 89), (68, 97), (60, 97)),
)
"""Segments a to g and the point, clockwise from the top."""

LEAN = 0.08
"""Digits lean to the right, as most of them do."""


def segment_path(segment: int, left: float, top: float, scale: float) -> str:
    """The outline of one segment (0: a … 6: g, 7: the point) of a digit drawn at ``left``, ``top``."""
    points = [
        (left + (x + LEAN * (DIGIT_HEIGHT - y)) * scale, top + y * scale) for x, y in _SEGMENTS[segment]
    ]
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + "Z"


def outlines(pattern: int, left: float, top: float, scale: float) -> str:
    """All segments that are set in ``pattern``, in one path."""
    return "".join(segment_path(i, left, top, scale) for i in range(8) if pattern >> i & 1)


def pattern_words(pattern: int, unknown: int = 0) -> str:
    """What a pattern reads as: ``5 (acdfg)``, ``dark``, ``no digit (bcde)``; an x is named."""
    if unknown:
        letters = letters_of(unknown & ALL_LIT) or "the point"
        return f"unknown in {letters}"
    point = " with point" if pattern >> POINT & 1 else ""
    shape = pattern & ALL_LIT
    if shape == BLANK:
        return "dark" + point
    known = {pattern_of(letters): f"{digit:X}" for digit, letters in enumerate(HEXADECIMAL)}
    known |= {pattern_of(letters): f"{digit:X}" for digit, letters in VARIANTS.items() if digit != 6}
    known |= {DASH: "a dash"}
    six = pattern_of(VARIANTS[6])
    name = "6 or b" if shape == six else known.get(shape, "no digit")
    return f"{name} ({letters_of(shape)}){point}"
