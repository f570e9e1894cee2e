"""Lines that select a digit: boards have more of them than a design may use."""

from __future__ import annotations

import re
from dataclasses import replace

from verify.bench.inference.code_text import without_comments, without_ranges
from verify.bench.inference.names import name_of
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["numbers_digits", "used_lines"]

_LITERAL = r"(\d+)\s*'\s*([bBhH])\s*([01a-fA-F_]+)"


def used_lines(view: View, select: Seen) -> Seen:
    """The lines without those at the upper end that the code ties to one level."""
    port = select.port
    if port.left < port.right or port.right != 0:
        return select
    used = port.width - _tied(without_comments(view.text), port.name, port.width)
    if not 2 <= used < port.width:
        return select
    name = f"{port.name}[{used - 1}:0]"
    return replace(select, port=replace(port, name=name, left=used - 1, width=used), name=name_of(port.name))


def numbers_digits(view: View, select: Seen) -> bool:
    """Whether the select is counted up or down: it goes to a decoder outside, and is no line per digit."""
    text, name = without_ranges(view.text), select.port.name.partition("[")[0]
    source = re.search(rf"assign\s+{re.escape(name)}\s*=\s*(\w+)\s*;", text)
    names = {name, source[1]} if source else {name}
    return any(re.search(rf"\b{re.escape(n)}\s*<?=(?!=)[^;]*\b{re.escape(n)}\s*[-+]", text) for n in names)


def _tied(text: str, name: str, width: int) -> int:
    """How many lines at the upper end never leave one level, as far as constants in the code say."""
    escaped = re.escape(name)
    apart = re.search(rf"\b{escaped}\s*\[\s*{width - 1}\s*:\s*(\d+)\s*\]\s*<?=\s*{_LITERAL}\s*;", text)
    if apart and _level(apart[2], apart[3], apart[4]) is not None:
        return width - int(apart[1])
    written = re.findall(rf"\b{escaped}\s*<?=(?!=)\s*([^;]*);", text)
    joined = [re.match(rf"\s*\{{\s*{_LITERAL}\s*,", value) for value in written]
    if written and all(joined):
        sizes = {int(m[1]) for m in joined if m and _level(m[1], m[2], m[3]) is not None}
        return sizes.pop() if len(sizes) == 1 and len(joined) == len(written) else 0
    words = [re.fullmatch(rf"\s*{_LITERAL}\s*", value) for value in written]
    if len(words) < 2 or not all(words):
        return 0
    bits = [_bits(m[1], m[2], m[3]) for m in words if m]
    if {len(b) for b in bits} != {width}:
        return 0
    return next((i for i in range(width) if len({b[i] for b in bits} | {bits[0][0]}) > 1), width)


def _bits(size: str, base: str, digits: str) -> str:
    radix = 2 if base in "bB" else 16
    try:
        return f"{int(digits.replace('_', ''), radix):0{int(size)}b}"
    except ValueError:
        return ""


def _level(size: str, base: str, digits: str) -> str | None:
    bits = set(_bits(size, base, digits))
    return bits.pop() if len(bits) == 1 else None
