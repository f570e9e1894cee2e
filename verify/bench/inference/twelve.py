"""The hours of a 12-hour clock: 12, 1, 2 … 11, told by where reset puts them, a name, or a line for pm."""

from __future__ import annotations

import re
from dataclasses import dataclass

from verify.bench.inference.findings import Assumption
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["Twelve", "half_of_day", "twelve_hours"]

HALF_DAY = 12


@dataclass(frozen=True, slots=True)
class Twelve:
    """``start``: what the stages of the hours show after reset, ones first where they are digits.

    ``sure``: nothing else can be meant; else a clock of 24 hours may begin at 12 as well.
    """

    start: tuple[int, ...]
    moduli: tuple[int, ...]
    sure: bool
    half: Seen | None
    told: Assumption


def half_of_day(view: View) -> Seen | None:
    """The output that is high from noon on."""
    return next((s for s in view.outputs if s.width == 1 and s.name.has("pm", "ampm")), None)


def twelve_hours(view: View, hours: list[tuple[int, Seen]]) -> Twelve | None:
    """None where nothing says so. ``hours``: place of the digit (-1: the whole number) and port."""
    if not hours or hours[0][1].width < 4:
        return None
    half = half_of_day(view)
    begins = _begins(view, hours)
    called = HALF_DAY in view.name.numbers or view.name.has("twelve", "zwoelf", "douze", "doce", "dodici")
    if begins not in {1, HALF_DAY} or not (half or called or begins == HALF_DAY):
        return None
    in_digits = len(hours) == 2
    narrow = hours[-1][1].width == 1 if in_digits else hours[0][1].width == 4
    why = (
        f"it has {half.port.name}"
        if half
        else f"the name {view.module.name} says so"
        if called
        else f"reset puts them at {begins}"
    )
    told = Assumption(
        "expect.twelve_hours", f"hours of a 12-hour clock, 12, 1 to 11: {why}", hours[0][1].port.place
    )
    start = (begins % 10, begins // 10) if in_digits else (begins,)
    moduli = (10, 2) if in_digits else (HALF_DAY,)
    return Twelve(start, moduli, bool(half or called or narrow), half, told)


def _begins(view: View, hours: list[tuple[int, Seen]]) -> int:
    """The hours after reset, or as the text begins with them where there is no reset."""
    found = 0
    for place, seen in hours:
        value = _value(view, seen)
        if seen.width == 8 and place >= 0:
            value = value >> 4 if place else value & 15
        found += value * (10 if place == 1 else 1)
    return found


def _value(view: View, seen: Seen) -> int:
    name = seen.port.name
    found = view.resets_to(name)
    if found is not None:
        return found[0]
    if view.reset is not None:
        return 0
    first = re.search(
        rf"\b{re.escape(name)}\s*<?=\s*(?:\d*\s*'[sS]?([bdhBDH])\s*)?([0-9a-fA-F]+)\s*;", view.text
    )
    if first is None:
        return 0
    return int(first[2], {"b": 2, "d": 10, "h": 16}[(first[1] or "d").lower()])
