"""Binary to decimal converters."""

from __future__ import annotations

import re
from typing import Any

from verify.bench.inference.code_text import converts, without_comments
from verify.bench.inference.comments import said_converter
from verify.bench.inference.controls import controls_of, port_of
from verify.bench.inference.findings import Assumption, Choice, Proposal, Unknown
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["ordered_digits", "propose_bcd", "works_on"]

_PLACES = ("ones", "tens", "hundreds", "thousands", "ten_thousands")
_DEFINITE = re.compile(
    r"(?i)bcd|decimal|dezimal|decoder_dec|double_?dabble|dabble|add3|bin_?2|bin_?to|binary_?to|to_?dec|digits"
)


def propose_bcd(view: View) -> Proposal | Unknown | None:
    """A converter: a number comes in, its decimal digits go out."""
    numbers = [s for s in view.inputs if s.width >= 3]
    if not numbers:
        return None
    digits = ordered_digits([s for s in view.outputs if 1 <= s.width <= 4])
    packed = [s for s in view.outputs if s.width > 4]
    about = _DEFINITE.search(view.name.text) or any(s.name.means("bcd") for s in view.outputs)
    about = about or said_converter(view) or converts(view.text)
    if len(digits) < 2 and not (packed and about):
        return None
    if len(numbers) > 1:
        named = [s for s in numbers if s.name.means("binary")]
        if len(named) != 1:
            return Unknown(
                view.module, "bcd", f"several numbers come in: {', '.join(s.port.name for s in numbers)}"
            )
        numbers = named
    number = numbers[0]
    if (
        number.name.means("bcd")
        and not number.name.means("binary")
        and packed
        and packed[0].name.means("binary")
    ):
        return Unknown(view.module, "bcd", "it goes the other way: from decimal digits to binary")
    assumptions = [
        Assumption(
            "ports.binary", f"{number.port.name} is the number, {number.width} bits", number.port.place
        )
    ]
    ports: dict[str, Any] = {"binary": number.port.name}
    rivals: list[Choice] = []
    if len(digits) >= 2:
        names = [s.port.name for s in digits]
        ports["digits"] = names
        why = "by name" if any(s.name.means(*_PLACES) for s in digits) else "by number"
        assumptions.append(
            Assumption(
                "ports.digits", f"digits, ones first: {', '.join(names)} ({why})", digits[0].port.place
            )
        )
        if why == "by number":
            rivals.append(Choice("the digits the other way round", {}, {"digits": names[::-1]}))
        used = digits
    else:
        used = [next((s for s in packed if s.name.means("bcd", "digit")), packed[0])]
        if used[0].width < number.width and used[0].width % 4:
            return None
        ports["bcd"] = used[0].port.name
        text = f"{used[0].port.name} holds the digits, four bits each, ones in the lowest"
        assumptions.append(Assumption("ports.bcd", text, used[0].port.place))
    handshake, told = _handshake(view, used)
    controls = controls_of(view, [s for s in view.inputs if s is not number], ("start",))
    ports |= handshake | controls.ports
    left = [s for s in controls.left if view.stateful]
    others = [s for s in view.inputs if s is not number and s.width > 1]
    if left or others:
        names_left = ", ".join(s.port.name for s in (*left, *others))
        return Unknown(view.module, "bcd", f"a golden converter has nothing for {names_left}")
    if not {"start", "done", "busy"} & set(ports) and (loop := works_on(view)) is not None:
        return Unknown(
            view.module,
            "bcd",
            f"it works on {loop} over many clocks and says neither when it begins nor when it is done",
        )
    axes: list[tuple[Choice, ...]] = []
    if "start" in ports:
        axes.append(
            (
                Choice("a start while busy is ignored", {"start_while_busy": "ignore"}),
                Choice("a start while busy begins anew", {"start_while_busy": "restart"}),
            )
        )
    places = len(digits) if "digits" in ports else used[0].width // 4
    if 10**places < 1 << number.width and used[-1].width * (len(used) == 1) % 4 == 0:
        axes.append(
            (
                Choice("numbers that need more digits lose their highest ones", {"overflow": "modulo"}),
                Choice("numbers that need more digits are not checked", {"overflow": "any"}),
            )
        )
    return Proposal(
        module=view.module,
        model="bcd",
        ports=ports,
        expect={},
        clock=view.clock,
        reset=view.reset,
        assumptions=(*view.assumptions, *assumptions, *told, *controls.assumptions),
        axes=tuple(axes),
        rivals=tuple(rivals),
        questions=view.questions,
        certainty=0.9 if about or "digits" in ports else 0.6,
    )


def works_on(view: View, *, with_parts: bool = False) -> str | None:
    """A register that is stepped or shifted, which no pipeline has.

    ``with_parts``: look for one that is shifted in the modules inside, and not here.
    """
    bodies = view.bodies_below if with_parts else (view.text,)
    text = without_comments("\n".join(bodies))
    if with_parts:
        found = re.search(r"\b(\w+)\s*<=[^;]*(?:\b\1\s*<<|\{[^;]*\b\1\s*\[)", text)
        return found[1] if found else None
    for register in view.module.registers:
        name = re.escape(register.name)
        if re.search(rf"\b{name}\s*<=[^;]*(?:\b{name}\s*(?:[-+]|<<|>>)|\{{[^;]*\b{name}\s*\[)", text):
            return register.name
    return None


def _handshake(view: View, used: list[Seen]) -> tuple[dict[str, Any], list[Assumption]]:
    ports: dict[str, Any] = {}
    told = []
    for seen in view.outputs:
        if seen in used or seen.width != 1:
            continue
        for role in ("busy", "done"):
            if role not in ports and seen.name.means(role):
                low = seen.name.low
                ports[role] = port_of(seen.port.name, low=low)
                told.append(Assumption(f"ports.{role}", f"{seen.port.name} is {role}", seen.port.place))
                break
    return ports, told


def ordered_digits(ports: list[Seen]) -> list[Seen]:
    """Ports of one digit each, ones first; empty when their names give no order."""
    placed: dict[int, Seen] = {}
    for seen in ports:
        place = next((i for i, p in reversed(list(enumerate(_PLACES))) if seen.name.means(p)), None)
        if (place is not None and seen.width > 1) or (place is not None and place > 1):
            if place in placed:
                return []
            placed[place] = seen
    if len(placed) >= 2 and sorted(placed) == list(range(len(placed))):
        return [placed[i] for i in sorted(placed)]
    numbered = [
        s for s in ports if s.name.index is not None and (s.width == 4 or s.name.means("digit", "bcd"))
    ]
    indices = sorted(s.name.index or 0 for s in numbered)
    if len(numbered) >= 2 and indices in (list(range(len(numbered))), list(range(1, len(numbered) + 1))):
        return sorted(numbered, key=lambda s: s.name.index or 0)
    letters = {s.port.name.lower(): s for s in ports if len(s.port.name) == 1}
    for order in ("uthm", "uctm", "udcm", "ezht", "udc", "ezh", "oth", "uth"):
        found = [letters[c] for c in order if c in letters]
        if len(found) == len(ports) >= 2 and len(found) == len(letters):
            return found
    return []
