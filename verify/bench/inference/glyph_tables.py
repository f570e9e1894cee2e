"""Digits drawn as constants in the code: they tell what an output is, never whether it is right."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product

from verify.bench.inference.code_text import without_comments
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View
from verify.models.glyphs import usual_patterns

__all__ = ["draws_digits", "ends_at_nine"]

_ENOUGH = 7
"""Digits of ten that have to look like themselves; a table of something else has none or two."""

_BASES = {"b": 2, "o": 8, "d": 10, "h": 16}
_NUMBER = r"(?:\d*\s*'[sS]?([bodhBODH])\s*([0-9a-fA-F_]+)|(\d+))"
_ENTRY = re.compile(
    rf"(?<![\w'?]){_NUMBER}\s*:\s*(?:begin\s*)?(?:\w+\s*(?:\[[^\]]*\]\s*)?<?=\s*)?(~?)\s*{_NUMBER}"
)


def draws_digits(view: View, seen: Seen) -> bool:
    """Whether a table in the module gives most digits from 0 to 9 their segments, in any wiring."""
    table = dict(_entries(view.text))
    width = seen.width
    if width not in {7, 8} or len(table) < _ENOUGH:
        return False
    for low, mirrored, point in product((0, 1), (0, 1), ("none",) if width == 7 else ("top", "bottom")):
        right = 0
        for digit in range(10):
            if digit in table:
                bits = table[digit] >> (point == "bottom") & 127
                bits ^= 127 * low
                bits = int(f"{bits:07b}"[::-1], 2) if mirrored else bits
                right += bits in usual_patterns(digit)
        if right >= _ENOUGH:
            return True
    return False


def ends_at_nine(view: View) -> bool:
    """Whether a table in the module has all digits from 0 to 9, and none of 10 to 15."""
    keys = {key for key, _ in _entries(view.text)}
    return keys.issuperset(range(10)) and keys.isdisjoint(range(10, 16))


def _entries(text: str) -> Iterator[tuple[int, int]]:
    plain = without_comments(text)
    for match in _ENTRY.finditer(plain):
        key = _value(match[1], match[2], match[3])
        value = _value(match[5], match[6], match[7])
        if key is not None and value is not None:
            yield key, ~value & 255 if match[4] else value


def _value(base: str | None, digits: str | None, plain: str | None) -> int | None:
    try:
        return int(plain) if plain else int((digits or "").replace("_", ""), _BASES[(base or "d").lower()])
    except ValueError:
        return None
