"""Seven-segment decoders."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from verify.bench.inference.controls import Controls, controls_of, port_of
from verify.bench.inference.findings import Assumption, Choice, Proposal, Unknown
from verify.bench.inference.glyph_tables import ends_at_nine
from verify.bench.inference.seen import Seen
from verify.bench.inference.segmented import SegmentLines, segment_lines, segment_orders
from verify.bench.inference.view import View

__all__ = ["propose_segments"]

_CONTROLS = ("blank", "lamp_test", "point")
_HEXADECIMAL = re.compile(r"(?i)hex(a|adecimal)?_?(to|2|4|7?_?seg|ss|dec|digit)|hexadecimal|nibble")
"""``hex7`` and ``HEX0`` are what a board calls its digits, whatever they show."""

_POLARITY = re.compile(
    r"(?i)^(ca|cc|pol|inv)$|polar|common|commun|comun|gemeins|anod|cathod|katod|invert|act(ive)?_?(low|high|lvl|level)"
)


def propose_segments(view: View) -> Proposal | list[Proposal] | Unknown | None:
    """A decoder: a digit comes in, segments go out."""
    lines = segment_lines(view)
    if lines is None:
        return None
    view = view.towards(*lines.words, *lines.scalars, *(s for s in (lines.wide,) if s))
    data = [s for s in view.inputs if s.width > 1]
    bits = _scalar_digit(view)
    if not data and not bits:
        return None
    if lines.select is not None or lines.selects or len(lines.words) > 1:
        left = view.stateful and (not data or lines.select is not None)
        return None if left else _not_a_decoder(view, data)
    digit = next(
        (s for s in data if s.name.means("digit", "bcd", "binary", "value", "count")),
        data[0] if data else None,
    )
    if digit is not None and digit.width > 4:
        return _not_a_decoder(view, data) if digit.width > 8 else None
    if len(data) > 1:
        return _not_a_decoder(view, data)
    assumptions, ports = _ports(lines)
    reference: Any = digit.port.name if digit is not None else [s.port.name for s in bits]
    ports["digit"] = reference
    what = reference if isinstance(reference, str) else ", ".join(reversed(reference))
    place = digit.port.place if digit is not None else bits[0].port.place
    assumptions.append(
        Assumption("ports.digit", f"{what} is the digit: {_width(digit)} into seven segments", place)
    )
    controls = controls_of(view, [s for s in view.inputs if s not in (*bits, digit)], _CONTROLS)
    polarity = next((s for s in controls.left if _tells_polarity(s)), None)
    if polarity is not None:
        controls.left.remove(polarity)
    unclear = _overrides(view, controls)
    if controls.left:
        return Unknown(view.module, "segments", controls.why_left)
    above, axes, rivals = _above_nine(view, digit)
    proposal = Proposal(
        module=view.module,
        model="segments",
        ports={**ports, **controls.ports},
        expect={},
        clock=view.clock,
        reset=view.reset,
        assumptions=(*view.assumptions, *assumptions, *controls.assumptions, *above),
        axes=(segment_orders(view, lines), axes, *unclear),
        rivals=rivals,
        questions=view.questions,
        certainty=0.9,
    )
    return proposal if polarity is None else _either_way(proposal, polarity)


def _tells_polarity(seen: Seen) -> bool:
    return seen.width == 1 and bool(_POLARITY.search(seen.port.name))


def _either_way(proposal: Proposal, polarity: Seen) -> list[Proposal]:
    """Checked with the input that says which level lights at 0 and at 1."""
    name = polarity.port.name
    text = f"{name} says which level lights a segment: checked with it at 0 and at 1"
    told = (*proposal.assumptions, Assumption("tie", text, polarity.port.place))
    return [
        replace(proposal, assumptions=told, tie={name: level}, label=f"segments with {name} = {level}")
        for level in (0, 1)
    ]


def _overrides(view: View, controls: Controls) -> list[tuple[Choice, ...]]:
    """An enable lights the digit, so it is a blank the other way round; an input without a name is tried."""
    axes: list[tuple[Choice, ...]] = []
    for seen in list(controls.left):
        name = seen.port.name
        guard = next((g for g in view.module.guards if g.signal == name and g.kind == "constant"), None)
        if "blank" not in controls.ports and seen.name.means("enable"):
            controls.ports["blank"] = port_of(name, low=not seen.name.low)
            text = f"{name} is an enable: the digit is blank without it"
            controls.assumptions.append(Assumption("ports.blank", text, seen.port.place))
        elif guard is not None and not axes:
            reference = port_of(name, low=guard.level == 0)
            axes.append(
                (
                    Choice(f"{name} blanks the digit", {}, {"blank": reference}),
                    Choice(f"{name} lights all segments", {}, {"lamp_test": reference}),
                )
            )
        else:
            continue
        controls.left.remove(seen)
    return axes


def _width(digit: Seen | None) -> str:
    return "four wires" if digit is None else f"{digit.width} bits"


def _ports(lines: SegmentLines) -> tuple[list[Assumption], dict[str, Any]]:
    if lines.words:
        seen = lines.words[0]
        text = f"{seen.port.name} are the segments: {seen.width} bits"
        ports: dict[str, Any] = {"segments": seen.port.name}
        return [Assumption("ports.segments", text, seen.port.place)], ports
    names = [s.port.name for s in lines.scalars]
    if lines.point is not None:
        names.append(lines.point.port.name)
    text = f"{names[0]} to {names[6]} are the segments a to g"
    return [Assumption("ports.segment_ports", text, lines.scalars[0].port.place)], {"segment_ports": names}


def _scalar_digit(view: View) -> tuple[Seen, ...]:
    """Four inputs of a bit each that together are a digit, least significant first."""
    ones = [s for s in view.inputs if s.width == 1]
    for names in (("d", "c", "b", "a"),):
        found = [next((s for s in ones if s.port.name.lower() == n), None) for n in names]
        if all(found):
            return tuple(s for s in found if s)
    indexed = [
        s for s in ones if re.fullmatch(r"(?i)(x|d|b|bcd|in|i|sw|digit|bin|w|q|a)_?[0-3]", s.port.name)
    ]
    if len(indexed) == 4:
        return tuple(sorted(indexed, key=lambda s: s.name.index or 0))
    return ()


def _above_nine(
    view: View, digit: Seen | None
) -> tuple[list[Assumption], tuple[Choice, ...], tuple[Choice, ...]]:
    """What is assumed, the conventions there are, and the rival ones."""
    if digit is not None and digit.width < 4:
        return [], (), ()
    decimal = (
        view.name.means("bcd")
        or view.name.has("bcd", "decimal", "dec")
        or (digit is not None and digit.name.has("bcd"))
    )
    hexadecimal = bool(_HEXADECIMAL.search(view.name.text))
    blank = Choice("digits above nine are blank", {"above_nine": "blank"})
    letters = Choice("digits above nine are hexadecimal letters", {"above_nine": "hex"})
    held = Choice("digits above nine leave the one before in place", {"above_nine": "hold"})
    anything = Choice(
        "what digits above nine show is not checked: a decimal decoder may show anything",
        {"above_nine": "any"},
    )
    if hexadecimal and not decimal and ends_at_nine(view):
        return _called_hexadecimal(view, blank, letters, anything)
    if hexadecimal and not decimal:
        text = f"digits above nine are hexadecimal letters: the module is called {view.module.name}"
        return [Assumption("expect.above_nine", text, view.module.place)], (letters,), ()
    return [], (blank, letters, held, anything), ()


def _called_hexadecimal(
    view: View, blank: Choice, letters: Choice, anything: Choice
) -> tuple[list[Assumption], tuple[Choice, ...], tuple[Choice, ...]]:
    """The name may be that of the display. A part of a larger design is what its table says."""
    called = f"the module is called {view.module.name}, but its table ends at 9"
    if view.instantiated:
        text = f"a decimal decoder: {called}; what digits above nine show is not held against it"
        return [Assumption("expect.above_nine", text, view.module.place)], (blank, anything), ()
    text = f"digits above nine are hexadecimal letters: {called}"
    return [Assumption("expect.above_nine", text, view.module.place)], (letters,), (blank, anything)


def _not_a_decoder(view: View, data: list[Seen]) -> Unknown:
    names = ", ".join(s.port.name for s in data) or "no digit"
    return Unknown(
        view.module,
        "display",
        f"it cannot be told how what comes in ({names}) is meant to be shown",
    )
