"""Seven-segment lines among the outputs: one word, seven scalars, several digits, or shared and scanned."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from verify.bench.inference.findings import Choice
from verify.bench.inference.glyph_tables import draws_digits
from verify.bench.inference.seen import Seen
from verify.bench.inference.select_lines import used_lines
from verify.bench.inference.view import View
from verify.design.interface import Port

__all__ = ["SegmentLines", "digit_rank", "segment_lines", "segment_orders"]

_LETTERS = "abcdefg"
_SCALAR = re.compile(r"(?i)^(.*?)(?:_|(?<=[a-z])(?=[A-G]$)|^|(?<=seg)|(?<=led)|(?<=s))([a-g])(_n|_o|_out)?$")
WIDTHS = (7, 8)


@dataclass(frozen=True, slots=True)
class SegmentLines:
    """``words``: outputs of seven or eight bits each. ``scalars``: seven ports, a to g, or none."""

    words: tuple[Seen, ...] = ()
    scalars: tuple[Seen, ...] = ()
    point: Seen | None = None
    select: Seen | None = None
    selects: tuple[Seen, ...] = ()
    wide: Seen | None = None
    rest: tuple[Seen, ...] = ()


def segment_lines(view: View) -> SegmentLines | None:
    """The segment lines among the outputs, None when there are none."""
    outputs = list(view.outputs)
    point = next((s for s in outputs if s.width == 1 and s.name.means("point")), None)
    scalars = _scalars([s for s in outputs if s.width == 1])
    words = [s for s in outputs if s.width in WIDTHS and not s.name.means("select", "count", "bcd")] or [
        s for s in outputs if s.width == 7
    ]
    if scalars:
        words = []
    named = [s for s in words if s.name.means("segments") or _told_by(s)]
    if (
        not named
        and not scalars
        and len(drawn := [s for s in outputs if s.width in WIDTHS]) == 1
        and draws_digits(view, drawn[0])
    ):
        words = named = drawn
    words = named or (words if all(s.width == 7 for s in words) else [])
    if not named and any(
        s.width > 1 and s not in words and not s.name.means("select", "digit") for s in outputs
    ):
        words = []
    if not named:
        words = [s for s in words if not _number(s)]
    if not words and len(outputs) == 1 and outputs[0].width in WIDTHS and view.name.means("segments"):
        words = outputs
    select = next(
        (
            s
            for s in outputs
            if 1 < s.width <= 8
            and s not in words
            and (s.name.means("select") or (s.name.means("digit") and words))
        ),
        None,
    )
    selects = tuple(s for s in outputs if s.width == 1 and s.name.means("select"))
    wide = next(
        (s for s in outputs if s.width > 8 and s.width % 7 * (s.width % 8) == 0 and s.name.means("segments")),
        None,
    )
    if not words and not scalars and wide is None:
        return None
    taken = {*words, *scalars, point, select, wide, *selects}
    rest = tuple(s for s in outputs if s not in taken)
    if select is not None:
        select = used_lines(view, select)
    return SegmentLines(tuple(words), scalars, point, select, selects, wide, rest)


def _number(seen: Seen) -> bool:
    """Called after a number: a digit of seven or eight bits is none, though, but the lines that show it."""
    name = seen.name
    if name.means("ones", "tens", "digit") and not name.has("bcd", "data", "value", "val", "count"):
        return False
    return name.means("hundredths", "tenths", "seconds", "minutes", "hours", "count", "binary")


def _told_by(seen: Seen) -> bool:
    return bool(re.search(r"(?i)segment|abcdefg|gfedcba|a\s*\.\.\s*g|cathode|anode|7-?seg", seen.comment))


def _scalars(ports: Sequence[Seen]) -> tuple[Seen, ...]:
    """Seven ports called a to g alike."""
    groups: dict[str, dict[str, Seen]] = {}
    for seen in ports:
        match = _SCALAR.match(seen.port.name)
        if match:
            groups.setdefault(match[1].lower() + (match[3] or ""), {})[match[2].lower()] = seen
    for letters in groups.values():
        if set(letters) == set(_LETTERS):
            return tuple(letters[letter] for letter in _LETTERS)
    return ()


def digit_rank(seen: Seen) -> tuple[int, int, int] | None:
    """Where a digit belongs: unit (0 fastest), place (0: ones) and number at the end; None: no sign of it."""
    units = ("hundredths", "tenths", "seconds", "minutes", "hours")
    places = ("ones", "tens", "hundreds", "thousands", "ten_thousands")
    name = seen.name
    unit = next((i for i, u in enumerate(units) if name.means(u) and _strongly(seen, u)), None)
    place = next((i for i, p in reversed(list(enumerate(places))) if name.means(p)), None)
    if unit is None and place is None and name.index is None:
        return None
    return (unit or 0, place if place is not None else 0, name.index or 0)


def _strongly(seen: Seen, unit: str) -> bool:
    """``seg`` means seconds in Spanish and segments elsewhere."""
    if unit == "seconds" and set(seen.name.words) & {"seg", "segs", "s", "sn"}:
        return not seen.name.means("segments") or len(seen.name.words) > 1
    return True


def segment_orders(view: View, lines: SegmentLines) -> tuple[Choice, ...]:
    """The levels that may light a segment and the ends at which a may be, likeliest first."""
    ports = lines.words or lines.scalars or ((lines.wide,) if lines.wide else ())
    text = " ".join((view.header, *(s.comment for s in ports if s), view.module.name)).lower()
    low = any(s.name.low for s in ports if s) or bool(
        re.search(r"active[- ]?low|common[- ]?anode|anode commune|gemeinsame anode", text)
    )
    high = bool(re.search(r"active[- ]?high|common[- ]?cathode", text))
    levels = ["low", "high"] if low and not high else ["high", "low"]
    # A word counted up from its left, as in [0:6], has a on the left.
    ascending = any(s.port.left < s.port.right for s in ports if s)
    orders = (
        ["a_msb", "a_lsb"]
        if ascending or re.search(r"abcdefg|a\W*b\W*c\W*d\W*e\W*f\W*g", text)
        else ["a_lsb", "a_msb"]
    )
    if lines.scalars:
        return tuple(Choice(f"segments are active {level}", {"active": level}) for level in levels)
    port = next(s.port for s in ports if s)
    return tuple(
        Choice(f"segments are active {level}, {text}", {"active": level, "order": order}, moved)
        for level in levels
        for order, text, moved in _wirings(port, orders)
    )


def _wirings(port: Port, orders: Sequence[str]) -> Iterator[tuple[str, str, dict[str, object]]]:
    for order in orders:
        yield order, f"a at the {_END[order]} end", {}
    if port.width == WIDTHS[1]:
        step = 1 if port.left >= port.right else -1
        bits = [port.right + step * i for i in range(8)]
        name = port.name
        yield (
            "a_msb",
            "a next to the point, which is the leftmost",
            {"segments": [f"{name}[{bits[7]}]", f"{name}[{bits[6]}:{bits[0]}]"]},
        )
        yield (
            "a_lsb",
            "a next to the point, which is the rightmost",
            {"segments": [f"{name}[{bits[7]}:{bits[1]}]", f"{name}[{bits[0]}]"]},
        )


_END = {"a_lsb": "right (least significant)", "a_msb": "left (most significant)"}
