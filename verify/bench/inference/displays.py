"""Displays with lines of their own for each digit, or scanned; most count time by themselves."""

from __future__ import annotations

import re
from typing import Any

from verify.bench.inference.clockwork import UNITS, pace_of, stage_axes, units_inside
from verify.bench.inference.controls import controls_of
from verify.bench.inference.findings import Assumption, Choice, Proposal, Question, Unknown
from verify.bench.inference.given import propose_given
from verify.bench.inference.segmented import SegmentLines, digit_rank, segment_lines, segment_orders
from verify.bench.inference.select_lines import numbers_digits
from verify.bench.inference.shown_numbers import said_number, shown_number
from verify.bench.inference.view import View

__all__ = ["propose_display"]

HOURS_AND_MINUTES = 4
"""Digits."""

_CONTROLS = ("enable", "clear", "load")
_MODULI = {"hundredths": 100, "tenths": 10, "seconds": 60, "minutes": 60}
_DWELL = re.compile(
    r"(?i)^(\w*dwell\w*|refresh_?(div|cycles|count|clocks)?|scan_?(div|cycles|count|clocks)|digit_?(cycles|clocks|time))$"
)

_FROM_THE_RIGHT = re.compile(r"(?i)hex_?\d$")
"""What boards call their digits: the one on the right has the number 0."""

_OF_DAY = re.compile(
    r"(?i)digital\s+clock|clock\s+of\s+the\s+day|\bday\b|24\s*-?\s*h|hh:mm:ss|uhr(?!takt)|horloge|reloj|orologio|_24|24_"
)

_GAP = re.compile(r"(?i)gap|blank|dead|ghost|off_?(time|cycles|clocks)")


def propose_display(view: View) -> Proposal | Unknown | None:
    """A display: segments come out, no digit goes in."""
    lines = segment_lines(view)
    if lines is None or (view.clock is None and view.stateful):
        return None
    view = view.towards(*lines.words, *lines.scalars, *(s for s in (lines.wide, lines.select) if s))
    data = [s for s in view.inputs if s.width > 1]
    if lines.select is not None and numbers_digits(view, lines.select):
        name = lines.select.port.name
        text = f"{name} is the number of the digit in binary, and a display has a line for each digit"
        return Unknown(view.module, "display", text)
    if data:
        ports, count, told, rivals = _lines(lines)
        if count == 0:
            return Unknown(view.module, "display", "the order of its digits cannot be told")
        return propose_given(view, lines, ports, count, told, rivals) if count > 1 else None
    if view.clock is None:
        return None
    controls = controls_of(view, view.inputs, _CONTROLS)
    controls.ports.pop("load", None)
    if controls.left:
        return Unknown(view.module, "display", controls.why_left)
    ports, count, told, rivals = _lines(lines)
    if count == 0:
        return Unknown(view.module, "display", "the order of its digits cannot be told")
    moduli, axes, question = _moduli(view, count)
    known = said_number(view, count) or (shown_number(view, count) if question else None)
    if known is not None:
        moduli, axes, question, told = known[0], [], [], [*told, known[1]]
    fastest = next((u for u in units_inside(view) if u), "seconds")
    if moduli and known is not None:
        fastest = "hundredths" if moduli[0] == _MODULI["hundredths"] and len(moduli) > 1 else "seconds"
    pace = pace_of(view, fastest, controls)
    if moduli == [60, 60] and known is None:
        rivals = [*rivals, Choice("the minutes go to 99", {"modulo": [60, 100]})]
        if "ratio" not in pace.expect:
            faster = {"modulo": [100, 60], "rate": 100}
            rivals.append(Choice("hundredths and seconds", faster))
    if _hides_seconds(view, count):
        text = "the seconds that it counts are not shown; with ratio = 60 seconds a bench can check the rest"
        return Unknown(view.module, "display", text)
    expect: dict[str, Any] = dict(pace.expect)
    if moduli is not None and None not in moduli:
        expect["modulo"] = moduli
    more, further = stage_axes(view, pace, controls, moduli or [])
    expect |= more
    zeros = (
        Choice("leading zeros are shown", {"leading_zero": "shown"}),
        Choice("leading zeros are blank", {"leading_zero": "blank"}),
    )
    return Proposal(
        module=view.module,
        model="display",
        ports={**ports, **controls.ports},
        expect=expect,
        clock=pace.clock,
        reset=view.reset,
        assumptions=(*view.assumptions, *controls.assumptions, *told, *pace.assumptions),
        axes=(segment_orders(view, lines), *axes, zeros, *further),
        rivals=(*rivals, *pace.rivals),
        questions=(*view.questions, *pace.questions, *question),
        certainty=0.8,
        parameters=_shortened(view),
    )


def _hides_seconds(view: View, count: int) -> bool:
    """Whether four digits are fewer than the hours, minutes and seconds that are counted inside."""
    letters = {n.words[0] for n in view.below if len(n.words) == 1}
    units = units_inside(view)
    return count == HOURS_AND_MINUTES and ({"s", "m", "h"} <= letters or units[:3] == list(UNITS[2:5]))


def _shortened(view: View) -> dict[str, int]:
    """Parameters for how long a digit is shown and all are dark: shortened, as the second is."""
    settable = [p for p in view.module.parameters if not p.local and (p.value or 0) > 1]
    gaps = {p.name: 2 for p in settable if _GAP.search(p.name)}
    dwells = {p.name: 8 if gaps else 4 for p in settable if (p.value or 0) > 64 and _DWELL.match(p.name)}
    return {**dwells, **gaps} if dwells else {}


def _lines(lines: SegmentLines) -> tuple[dict[str, Any], int, list[Assumption], list[Choice]]:
    if lines.select is not None and (len(lines.words) == 1 or lines.scalars):
        select = lines.select
        base = select.port.name.partition("[")[0]
        names = f"{select.port.name} selects one of {select.width} digits, bit 0 the rightmost"
        if base != select.port.name:
            names += f"; the other lines of {base} stay at one level and are not compared"
        segments: Any = lines.words[0].port.name if lines.words else [s.port.name for s in lines.scalars]
        ports: dict[str, Any] = {"segments": segments, "select": select.port.name}
        if lines.point is not None:
            ports["point"] = lines.point.port.name
        low, high = sorted((select.port.left, select.port.right))
        bits = [f"{base}[{i}]" for i in range(low, high + 1)]
        turned = bits[::-1] if select.port.left >= select.port.right else bits
        rival = Choice(f"{select.port.name} selects from the other end", {}, {"select": turned})
        return ports, select.width, [Assumption("ports.select", names, select.port.place)], [rival]
    if lines.wide is not None:
        wide = lines.wide
        size = 7 if wide.width % 7 == 0 else 8
        text = f"{wide.port.name} holds {wide.width // size} digits of {size} lines, the fastest lowest"
        return (
            {"segments": wide.port.name},
            wide.width // size,
            [Assumption("ports.segments", text, wide.port.place)],
            [],
        )
    if not lines.words:
        return {}, 0, [], []
    words = list(lines.words)
    ranks = {s: digit_rank(s) for s in words}
    if len(words) > 1 and (None in ranks.values() or len(set(ranks.values())) < len(words)):
        return {}, 0, [], []
    ordered = sorted(words, key=lambda s: ranks[s] or (0, 0, 0))
    names_in_order = [s.port.name for s in ordered]
    by_name = any((ranks[s] or (0, 0, 0))[:2] != (0, 0) for s in words)
    why = "by name" if by_name else "by number"
    text = f"digits, fastest first: {', '.join(names_in_order)} ({why})"
    rivals = (
        []
        if by_name or len(words) == 1 or all(_FROM_THE_RIGHT.match(name) for name in names_in_order)
        else [Choice("the digits the other way round", {}, {"digits": names_in_order[::-1]})]
    )
    return (
        {"digits": names_in_order},
        len(words),
        [Assumption("ports.digits", text, ordered[0].port.place)],
        rivals,
    )


def _moduli(view: View, count: int) -> tuple[list[Any] | None, list[tuple[Choice, ...]], list[Question]]:
    """States of each stage, from the units that are named inside."""
    units = units_inside(view)
    if "hundredths" in units and "tenths" in units:
        units.remove("tenths")
    known = [_MODULI.get(u) for u in units]
    sizes = sum(1 if u == "tenths" else 2 for u in units)
    if units and sizes == count and units[-1] != "hours":
        return known, [], []
    if "hours" in units and sizes == count:
        known = known[:-1]
        kinds = (
            (24, 100, 12)
            if view.inside("clock", "timer")
            and re.search(r"(?i)clock|uhr|day|24|reloj|horloge|orologio", view.name.text)
            else (100, 24)
        )
        return None, [tuple(Choice(f"{kind} hours", {"modulo": [*known, kind]}) for kind in kinds)], []
    usual = {2: [60], 4: [60, 60]}.get(count)
    if (
        units in ([], ["seconds"], ["seconds", "minutes"], ["minutes"])
        and usual
        and view.inside("timer", "seconds", "minutes")
    ):
        return usual, [], []
    if count == 6 and (not units or units[0] == "seconds"):
        of_day = _OF_DAY.search(f"{view.name.text}\n{view.header}")
        kinds = (24, 100) if of_day or re.search(r"(?i)clock", view.name.text) else (100, 24)
        return None, [tuple(Choice(f"{kind} hours", {"modulo": [60, 60, kind]}) for kind in kinds)], []
    if count == 1 and view.inside("count", "digit"):
        return [10], [], []
    readings = tuple(
        (f"stages of {m} states", f"expect = {{ modulo = {m} }}")
        for m in ([10**count], [60] * (count // 2) or [10])
    )
    text = f"what do the {count} digits of {view.module.name} count? No name inside is a unit of time"
    return None, [], [Question(text, readings, view.module.place)]
