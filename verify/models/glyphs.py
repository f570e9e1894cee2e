"""The shapes of digits on seven segments.

A pattern is an integer: bit 0 is segment a (top), then clockwise b to f, and bit 6 is g (middle);
a set bit is a lit segment. The base glyphs and their variants are common practice; the data sheets
that some of them come from are named in ``tests/reference``.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Any

from verify.models.family import OptionError

__all__ = [
    "ALL_LIT",
    "BLANK",
    "DASH",
    "LETTERS",
    "glyph_sets",
    "letters_of",
    "pattern_of",
    "pinned_glyphs",
    "usual_patterns",
]

LETTERS = "abcdefg"
ALL_LIT = 0b1111111
BLANK = 0
DASH = 0b1000000

DECIMAL = ("abcdef", "bc", "abdeg", "abcdg", "bcfg", "acdfg", "acdefg", "abc", "abcdefg", "abcdfg")
"""6 and 9 with tails, 7 without hook."""

HEXADECIMAL = (*DECIMAL, "abcefg", "cdefg", "adef", "bcdeg", "adefg", "aefg")
"""A b C d E F."""

SHOWN_ABOVE = {"blank": "", "dash": "g"}
"""What digits above 9 show that are no letters."""

VARIANTS = {6: "cdefg", 7: "abcf", 9: "abcfg", 10: "abcdeg", 12: "deg"}
"""6 without tail, 7 with hook, 9 without tail, a and c as small letters."""


def usual_patterns(digit: int) -> set[int]:
    """The patterns that people draw a digit with, a in bit 0."""
    return {pattern_of(HEXADECIMAL[digit]), pattern_of(VARIANTS.get(digit, HEXADECIMAL[digit]))}


def pattern_of(letters: str) -> int:
    """The pattern in which the named segments are lit."""
    return sum(1 << LETTERS.index(letter) for letter in set(letters))


def letters_of(pattern: int) -> str:
    """The lit segments of a pattern, in order."""
    return "".join(letter for i, letter in enumerate(LETTERS) if pattern >> i & 1)


def glyph_sets(highest: int, *, hexadecimal: bool) -> Iterator[tuple[tuple[int, ...], dict[str, str]]]:
    """Every combination of known variants for digits up to ``highest``, most usual first.

    Each comes with the letters of the digits that differ from the base. With hexadecimal digits a 6
    without tail would be the b, so there 6 always has its tail.
    """
    base = HEXADECIMAL if hexadecimal else DECIMAL
    free = [d for d in VARIANTS if d <= min(highest, len(base) - 1) and not (hexadecimal and d == 6)]
    for varied in sorted(itertools.product((False, True), repeat=len(free)), key=sum):
        chosen = {digit: VARIANTS[digit] for digit, yes in zip(free, varied, strict=True) if yes}
        patterns = tuple(pattern_of(chosen.get(digit, letters)) for digit, letters in enumerate(base))
        yield patterns, {str(digit): letters for digit, letters in chosen.items()}


def pinned_glyphs(table: Mapping[str, Any], *, above_nine: str, highest: int) -> tuple[int, ...]:
    """The patterns of the base glyphs, replaced where ``table`` (digit -> letters) says so.

    ``highest``: the last digit that can be asked for. A digit above 9 is written ``10`` or ``A``.
    Raises :class:`OptionError` for anything else.
    """
    base = list(HEXADECIMAL if above_nine == "hex" else DECIMAL)
    if above_nine in SHOWN_ABOVE:
        base += [SHOWN_ABOVE[above_nine]] * (min(highest, 15) + 1 - len(base))
    for key, letters in table.items():
        digit = _digit_of(str(key))
        if digit is None or digit >= len(base):
            found = f"digit {key!r}" + (f' with above_nine = "{above_nine}"' if len(base) <= 10 else "")
            raise OptionError("glyphs", found, f"digits from 0 to {len(base) - 1}")
        if not isinstance(letters, str) or set(letters) - set(LETTERS) or len(set(letters)) != len(letters):
            raise OptionError("glyphs", f"{key} = {letters!r}", 'segments from a to g, such as "cdefg"')
        base[digit] = letters
    return tuple(pattern_of(letters) for letters in base)


def _digit_of(key: str) -> int | None:
    if len(key) == 1 and key.lower() in "abcdef":
        return int(key, 16)
    return int(key) if key.isascii() and key.isdigit() else None
