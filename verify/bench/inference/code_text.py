"""The text of a module without what only people read."""

from __future__ import annotations

import re

__all__ = ["converts", "in_decimal", "without_comments", "without_ranges"]


_ADJUSTS = re.compile(
    r">=?\s*(?:\d*\s*'[sS]?[bdhBDH]\s*)?0*(?:[3-6]|10[01]|110)\b[^;]*\+\s*(?:\d*\s*'[sS]?[bdhBDH]\s*)?0*(?:3|11)\b"
)
_DIVIDES, _REMAINS = (
    re.compile(r"/\s*(?:\d*\s*'[sS]?d\s*)?10+\b"),
    re.compile(r"%\s*(?:\d*\s*'[sS]?d\s*)?10\b"),
)


def converts(text: str) -> bool:
    """Whether the code corrects digits by three as it shifts, or divides by powers of ten and takes rests."""
    plain = without_comments(text)
    return bool(_ADJUSTS.search(plain) or (_DIVIDES.search(plain) and _REMAINS.search(plain)))


def without_comments(text: str) -> str:
    """The code alone."""
    return re.sub(r"//[^\n]*|/\*.*?\*/", "", text, flags=re.DOTALL)


def without_ranges(text: str) -> str:
    """The code alone, and none of its brackets, in which a minus steps nothing."""
    return re.sub(r"//[^\n]*|/\*.*?\*/|\[[^\]]*\]", "", text, flags=re.DOTALL)


def in_decimal(text: str, name: str) -> bool:
    """Whether the code takes two digits of a signal apart, or compares it with 8'h59 and the like."""
    escaped = re.escape(name)
    return bool(re.search(rf"\b{escaped}\s*(?:\[\s*3\s*:\s*0|[=!]=\s*8\s*'h[1-9][0-9]\b)", text))
