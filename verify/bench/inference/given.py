"""Displays of a number that comes in: digits, nibbles of a bus, or a whole number in binary."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from verify.bench.inference.code_text import without_comments
from verify.bench.inference.controls import controls_of
from verify.bench.inference.converters import ordered_digits, works_on
from verify.bench.inference.findings import Assumption, Choice, Proposal, Unknown
from verify.bench.inference.seen import Seen
from verify.bench.inference.segmented import SegmentLines, digit_rank, segment_orders
from verify.bench.inference.view import View

__all__ = ["propose_given"]

_LETTERS_IN_ORDER = ("abcdefgh", "wxyz", "zyxw")
_TAKEN_APART = re.compile(r"(?<![/*])[/%](?![/*])\s*\w")
_LOW = re.compile(r"(?i)active[- ]?low|common[- ]?anode|anode commune|gemeinsame anode")
_CONVERTER = re.compile(r"(?i)bin\w*?_?(2|to)_?(bcd|dec)|double_?dabble|dabble|add_?3|bin_?bcd")
NIBBLE = 4


def propose_given(
    view: View,
    lines: SegmentLines,
    ports: dict[str, Any],
    digits: int,
    told: list[Assumption],
    rivals: list[Choice],
) -> Proposal | Unknown:
    """What comes in is what is shown; ``ports``, ``digits``, ``told``, ``rivals``: of the segment lines."""
    data = [s for s in view.inputs if s.width > 1 or re.search(r"(?i)^(d|digit|bcd|hex)\d$", s.port.name)]
    controls = controls_of(view, [s for s in view.inputs if s not in data], ())
    if controls.left:
        return Unknown(view.module, "display", controls.why_left)
    found = _values(view, data, digits)
    if found is None:
        names = ", ".join(f"{s.port.name} ({s.width})" for s in data)
        return Unknown(
            view.module, "display", f"it cannot be told how {names} are to be shown on {digits} digits"
        )
    values, expect, text, more = found
    if (busy := works_on(view, with_parts=True)) is not None and "modulo" in expect:
        return Unknown(
            view.module,
            "display",
            f"it works on {busy} over many clocks, so that the digits follow the number at no fixed distance",
        )
    place = data[0].port.place
    axes: list[tuple[Choice, ...]] = [segment_orders(view, lines)]
    if "modulo" not in expect:
        axes.append(
            (
                Choice("digits above nine are hexadecimal letters", {"above_nine": "hex"}),
                Choice("digits above nine are blank", {"above_nine": "blank"}),
                Choice("digits above nine are not checked", {"above_nine": "any"}),
            )
        )
    axes.append(
        (
            Choice("leading zeros are shown", {"leading_zero": "shown"}),
            Choice("leading zeros are blank", {"leading_zero": "blank"}),
        )
    )
    scan, further = _selecting(view, lines)
    return Proposal(
        module=view.module,
        model="display",
        ports={**ports, "values": values},
        expect={**expect, **scan},
        clock=view.clock,
        reset=view.reset,
        assumptions=(
            *view.assumptions,
            *controls.assumptions,
            *told,
            Assumption("ports.values", text, place),
        ),
        axes=tuple(axes),
        rivals=(*rivals, *more, *further),
        questions=view.questions,
        certainty=0.8,
    )


def _selecting(view: View, lines: SegmentLines) -> tuple[dict[str, Any], list[Choice]]:
    """Of two select lines either level would do, with the digits the other way round.

    Names decide, and an inversion in the code.
    """
    select = lines.select
    if select is None or select.width != 2:
        return {}, []
    text = " ".join((view.header, select.comment))
    low = select.name.low or bool(_LOW.search(text)) or select.name.has("an", "anode", "anodes", "anodo")
    base = re.escape(select.port.name.partition("[")[0])
    low |= bool(re.search(rf"\b{base}\s*<?=\s*~", without_comments(view.text)))
    level, other = ("low", "high") if low else ("high", "low")
    rival = Choice(f"a digit is selected by a {other} level", {"scan": {"select_active": other}})
    return {"scan": {"select_active": level}}, [rival]


Found = tuple[list[str], dict[str, Any], str, list[Choice]]
"""The ports for ``values``, options, what is said of it, and rival readings."""


def _values(view: View, data: list[Seen], digits: int) -> Found | None:
    whole = view.module.port(data[0].port.name.partition("[")[0]) if data else None
    of_one = len({s.port.name.partition("[")[0] for s in data}) == 1
    if of_one and whole is not None and len(data) > 1 and all(s.width == NIBBLE for s in data):
        nibbles = _nibbles(replace(data[0], port=whole))
        text = f"{whole.name} comes in and is shown four bits a digit, the lowest right"
        return (nibbles, {}, text, []) if len(nibbles) == digits else None
    if of_one and whole is not None and (len(data) == 1 or whole.width == NIBBLE * digits):
        return _from_one(view, replace(data[0], port=whole), digits)
    if len(data) == digits and all(s.width <= NIBBLE for s in data):
        return _a_port_for_each(data)
    ranks = {s: digit_rank(s) for s in data}
    if len(data) * 2 == digits and None not in ranks.values() and len(set(ranks.values())) == len(data):
        ordered = sorted(data, key=lambda s: ranks[s] or (0, 0, 0))
        names = [s.port.name for s in ordered]
        if all(s.width <= 7 for s in ordered):
            text = f"{', '.join(names)} come in and are shown in two decimal digits each, the first one right"
            moduli = [min(100, 1 << s.width) for s in ordered]
            return (names, {"modulo": moduli}, text, []) if min(moduli) > 10 else None
        if all(s.width == 2 * NIBBLE for s in ordered):
            nibbles = [n for s in ordered for n in _nibbles(s)]
            return nibbles, {}, f"{', '.join(names)} come in, a digit in every four bits", []
    return None


def _from_one(view: View, seen: Seen, digits: int) -> Found | None:
    name = seen.port.name
    plain = without_comments(view.text)
    in_decimal = bool(_TAKEN_APART.search(plain)) or any(_CONVERTER.search(n.text) for n in view.below)
    if seen.width == NIBBLE * digits and not in_decimal:
        nibbles = _nibbles(seen)
        return nibbles, {}, f"{name} comes in and is shown four bits a digit, the lowest right", []
    if (in_decimal or seen.width != NIBBLE * digits) and 1 << seen.width > 10 ** (digits - 1):
        modulo = min(10**digits, 1 << seen.width)
        return (
            [name],
            {"modulo": [modulo]},
            f"{name} comes in and is shown in decimal, up to {modulo - 1:,}",
            [],
        )
    return None


def _nibbles(seen: Seen) -> list[str]:
    """Four bits each, the lowest first."""
    port = seen.port
    step = 1 if port.left >= port.right else -1
    base = port.name.partition("[")[0]
    starts = [port.right + step * NIBBLE * i for i in range(seen.width // NIBBLE)]
    return [f"{base}[{start + step * (NIBBLE - 1)}:{start}]" for start in starts]


def _a_port_for_each(data: list[Seen]) -> Found | None:
    bases = {s.port.name.partition("[")[0] for s in data}
    if len(bases) == 1 and "[" in data[0].port.name:
        ordered = sorted(data, key=lambda s: min(s.port.left, s.port.right))
        if data[0].port.left < data[0].port.right:
            ordered = ordered[::-1]
        names = [s.port.name for s in ordered]
        return names, {}, f"{names[0]} to {names[-1]} come in and are shown, {names[0]} right", []
    ordered = ordered_digits(data)
    if len(ordered) == len(data):
        names = [s.port.name for s in ordered]
        by_name = any(s.name.means("ones", "tens", "hundreds") for s in ordered)
        text = f"{', '.join(names)} come in and are shown, {names[0]} right"
        turned = Choice("the digits the other way round", {}, {"values": names[::-1]})
        return names, {}, text, [] if by_name else [turned]
    ranks = {s: digit_rank(s) for s in data}
    if None not in ranks.values() and len(set(ranks.values())) == len(data):
        names = [s.port.name for s in sorted(data, key=lambda s: ranks[s] or (0, 0, 0))]
        return names, {}, f"{', '.join(names)} come in and are shown, {names[0]} right", []
    letters = {s.port.name.lower(): s.port.name for s in data}
    for order in _LETTERS_IN_ORDER:
        if set(letters) == set(order[: len(letters)]):
            names = [letters[c] for c in order[: len(letters)]]
            turned = Choice("the digits the other way round", {}, {"values": names[::-1]})
            return names, {}, f"{', '.join(names)} come in and are shown, {names[0]} right", [turned]
    return None
