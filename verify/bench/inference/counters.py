"""Counters: one number, in binary or in digits."""

from __future__ import annotations

import re
from dataclasses import replace
from math import prod
from typing import Any

from verify.bench.inference.code_text import without_ranges
from verify.bench.inference.comments import said_down
from verify.bench.inference.controls import controls_of, port_of
from verify.bench.inference.converters import ordered_digits
from verify.bench.inference.counter_code import odd_step, other_code, upper_bits
from verify.bench.inference.counter_pace import behind_prescaler
from verify.bench.inference.counter_states import count_states
from verify.bench.inference.findings import Assumption, Choice, Proposal, Question, Unknown
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["propose_counter"]

_CONTROLS = ("enable", "clear", "load", "up", "start_stop")
_CARRIES = tuple(
    Choice(text, {"carry": kind})
    for kind, text in (
        ("last_state", "carry is high in the last state"),
        ("last_state_and_enable", "carry is high in the last state while enabled"),
        ("after_wrap", "carry is high for the clock after the wrap"),
    )
)


def propose_counter(view: View) -> Proposal | Unknown | None:
    """A counter: a clock, a number that comes out, and what controls it."""
    if view.clock is None:
        return None
    view = _moving(view, view.clock.port)
    wide = [s for s in view.outputs if s.width > 1]
    digits = ordered_digits(wide) if len(wide) > 1 else []
    scalars = _scalar_bits(view) if not wide else []
    if not (len(wide) == 1 or len(digits) == len(wide) >= 2 or scalars):
        return None
    if len(view.clocks) > 1 and sum(view.module.port(c) is not None for c in view.clocks) > 1:
        return Unknown(view.module, "counter", f"it runs on several clocks: {', '.join(view.clocks)}")
    if (other := other_code(view, wide)) is not None:
        return Unknown(view.module, "counter", other)
    data = [s for s in view.inputs if s.width > 1]
    downward = _counts_down(view)
    wanted = [c for c in _CONTROLS if c != "up" or not downward]
    controls = controls_of(view, view.inputs, wanted)
    if len(carry := [s for s in view.outputs if s.width == 1 and s.name.means("carry")]) > 1:
        both = ", ".join(s.port.name for s in carry)
        controls.assumptions.append(
            Assumption("", f"{both}: several carries are not compared", carry[0].port.place)
        )
    ports: dict[str, Any] = dict(controls.ports)
    assumptions = list(controls.assumptions)
    expect: dict[str, Any] = {}
    axes: list[tuple[Choice, ...]] = []
    if data:
        if len(data) > 1 or "load" not in ports:
            names = ", ".join(s.port.name for s in data)
            return Unknown(view.module, "counter", f"nothing says what {names} is for")
        ports["load_value"] = data[0].port.name
        assumptions.append(
            Assumption("ports.load_value", f"{data[0].port.name} is the number to load", data[0].port.place)
        )
    elif "load" in ports:
        ports["clear"] = ports.pop("load") if "clear" not in ports else ports["clear"]
    if controls.left:
        return Unknown(view.module, "counter", controls.why_left)
    width = _count_ports(wide, digits, scalars, ports, assumptions)
    _direction(view, ports, expect, assumptions)
    carry = [
        s
        for s in view.outputs
        if s.width == 1
        and s not in scalars
        and (s.name.means("carry", "done", "tick") or (downward and s.name.has("zero")))
    ]
    if len(carry) == 1:
        ports["carry"] = port_of(carry[0].port.name, low=False)
        assumptions.append(
            Assumption("ports.carry", f"{carry[0].port.name} is the carry", carry[0].port.place)
        )
        axes.append(_CARRIES)
    questions: list[Question] = []
    rivals: list[Choice] = []
    count_states(view, wide, digits, width, expect, assumptions, axes, questions, rivals)
    if expect.get("direction") == "down":
        axes.append(
            _starts(expect.get("modulo"), _states_of(expect, 10 ** len(digits) if digits else 1 << width))
        )
    else:
        _start(view, [s.port.name for s in wide] or ["count"], expect, assumptions, questions)
    questions += [*odd_step(view, wide), *upper_bits(view, wide)]
    if "load" in ports or "clear" in ports:
        axes.append(_priorities(ports))
    may_stop = not any(s.name.means("carry") for s in carry) if digits else "load" in ports
    may_stop = may_stop and bool(wide) and expect.get("direction") == "down"
    if may_stop and (stops := _stopping(view, ports, expect, width, assumptions, axes)) is not None:
        return replace(stops, rivals=tuple(rivals), questions=(*view.questions, *questions))
    proposal = Proposal(
        module=view.module,
        model="counter",
        ports=ports,
        expect=expect,
        clock=view.clock,
        reset=view.reset,
        assumptions=(*view.assumptions, *assumptions),
        axes=tuple(axis for axis in axes if axis),
        rivals=tuple(rivals),
        questions=(*view.questions, *questions),
        certainty=0.7,
    )
    return behind_prescaler(view, proposal, wide or scalars)


def _counts_down(view: View) -> bool:
    words = [w for w in view.name.words if w != "dec" or not view.name.means("bcd")]
    down = said_down(view) or _only_down(view)
    down |= any(w in {"down", "dn", "countdown", "descending", "rueckwaerts", "abajo", "neer"} for w in words)
    down |= bool(re.search(r"(?i)count_?down|down_?count", view.name.text))
    return down and not any(w in {"up", "updown", "ud"} for w in words)


def _moving(view: View, clock: str) -> View:
    """Without outputs that no clock edge moves, such as lamps that show the switches.

    An output that nothing drives stays: that is no convention.
    """
    moving = [s for s in view.outputs if clock in view.module.reached_by.get(s.port.name, clock)]
    if moving:
        moving = [s for s in view.outputs if s in moving or not s.port.drivers]
    if len(moving) in {0, len(view.outputs)}:
        return view
    return replace(view.towards(*moving), outputs=tuple(moving))


def _only_down(view: View) -> bool:
    """Whether the code takes one away somewhere and adds one nowhere."""
    text = without_ranges(view.text)
    one = r"\s*(?:\d*'[sS]?[bdhBDH]0*)?1\b(?!')"
    taken = [m[1] for m in re.finditer(rf"\b(\w+)\s*<?=[^;]*\b\1\s*-{one}", text)]
    added = re.search(rf"\b(\w+)\s*<?=[^;]*\b\1\s*\+{one}|\+\+|\+=", text)
    return bool(taken) and added is None


def _stopping(
    view: View,
    ports: dict[str, Any],
    expect: dict[str, Any],
    width: int,
    assumptions: list[Assumption],
    axes: list[tuple[Choice, ...]],
) -> Proposal | None:
    """A count-down may stop at zero, which a counter never does: it is a timer of one stage or of digits."""
    moved = {"count": "stages", "digits": "stages", "carry": "done", "load_value": "load_values"}
    own = {
        moved.get(role, role): [ref] if role in {"count", "load_value"} else ref
        for role, ref in ports.items()
    }
    if "encoding" in expect or "up" in own or ("digits" in ports and {"load", "load_value"} & set(ports)):
        return None
    moduli = [expect.get("modulo", 1 << width)]
    if "digits" in ports:
        moduli = list(expect["digit_modulo"])
        if expect.get("modulo", prod(moduli)) != prod(moduli):
            return None
    starts = [c for axis in axes for c in axis if "start" in c.expect]
    return Proposal(
        module=view.module,
        model="timer",
        ports=own,
        expect={"modulo": moduli, "ratio": 1, "direction": "down"},
        clock=view.clock,
        reset=view.reset,
        assumptions=(
            *view.assumptions,
            *(
                replace(a, key=_KEYS.get(a.key, a.key), text=a.text.replace(" is the carry", " is done"))
                for a in assumptions
            ),
        ),
        axes=(
            (Choice("it stops at zero", {"at_end": "stop"}), Choice("it wraps at zero", {"at_end": "wrap"})),
            tuple(replace(c, expect={"start": _each(c.expect["start"], moduli)}) for c in starts[::-1]),
        ),
        certainty=0.7,
    )


_KEYS = {
    "ports.count": "ports.stages",
    "ports.digits": "ports.stages",
    "ports.carry": "ports.done",
    "ports.load_value": "ports.load_values",
    "expect.digit_modulo": "expect.modulo",
}
"""What the options of a counter are called of a timer."""


def _each(number: Any, moduli: list[Any]) -> list[Any]:
    """A number in the digits of the stages, fastest first."""
    if len(moduli) == 1:
        return [number]
    found = []
    for modulo in moduli:
        found.append(number % modulo)
        number //= modulo
    return found


def _scalar_bits(view: View) -> list[Seen]:
    """q0, q1 … as scalars, least significant first."""
    found = [s for s in view.outputs if re.fullmatch(r"(?i)(q|qo|count|cnt|c|out|bit)_?\d", s.port.name)]
    indices = sorted(s.name.index or 0 for s in found)
    return (
        sorted(found, key=lambda s: s.name.index or 0)
        if len(found) > 1 and indices == list(range(len(found)))
        else []
    )


def _count_ports(
    wide: list[Seen],
    digits: list[Seen],
    scalars: list[Seen],
    ports: dict[str, Any],
    assumptions: list[Assumption],
) -> int:
    if digits:
        names = [s.port.name for s in digits]
        ports["digits"] = names
        assumptions.append(
            Assumption("ports.digits", f"digits, ones first: {', '.join(names)}", digits[0].port.place)
        )
        return 4 * len(digits)
    if scalars:
        ports["count"] = [s.port.name for s in scalars]
        return len(scalars)
    seen = wide[0]
    ports["count"] = seen.port.name
    assumptions.append(
        Assumption("ports.count", f"{seen.port.name} is the count, {seen.width} bits", seen.port.place)
    )
    return seen.width


def _direction(
    view: View,
    ports: dict[str, Any],
    expect: dict[str, Any],
    assumptions: list[Assumption],
) -> None:
    if "up" in ports:
        expect["direction"] = "input"
        return
    down = _counts_down(view)
    outputs = [s for s in view.outputs if s.name.has("down", "remaining", "left", "rest", "rem")]
    if down or outputs:
        expect["direction"] = "down"
        where = outputs[0].port.place if outputs else view.module.place
        who = outputs[0].port.name if outputs else view.module.name
        assumptions.append(Assumption("expect.direction", f"it counts down: {who} says so", where))


def _start(
    view: View,
    names: list[str],
    expect: dict[str, Any],
    assumptions: list[Assumption],
    questions: list[Question],
) -> None:
    """A parameter may say where reset puts it; a number in the code alone may as well be a slip."""
    inner = [r.name for r in view.module.registers if r.width > 1]
    found = view.resets_to(*names, *(inner if len(inner) == 1 else []))
    if found is None:
        return
    value, place = found
    named = next(
        (
            p
            for p in view.module.parameters
            if p.value == value and re.search(r"(?i)start|init|reset|rst|begin|preset", p.name)
        ),
        None,
    )
    if named is not None:
        expect["start"] = named.name
        assumptions.append(
            Assumption("expect.start", f"{named.name} = {value} is where reset puts it", named.place)
        )
        return
    questions.append(
        Question(
            f"where does reset put it? The code says {value}, and most counters start at 0",
            ((f"at {value}", f"expect = {{ start = {value} }}"), ("at 0", "expect = { start = 0 }")),
            place,
        )
    )


def _states_of(expect: dict[str, Any], most: int) -> int:
    return prod(expect["digit_modulo"]) if "digit_modulo" in expect else most


def _starts(modulo: Any, states: int) -> tuple[Choice, ...]:
    last: Any = states - 1 if modulo is None else modulo - 1 if isinstance(modulo, int) else f"{modulo} - 1"
    return (
        Choice("reset puts it at its highest number", {"start": last}),
        Choice("reset puts it at 0", {"start": 0}),
    )


def _priorities(ports: dict[str, Any]) -> tuple[Choice, ...]:
    """Whether clear and load need the enable."""
    if "enable" not in ports:
        return ()
    bound = [c for c in ("clear", "load") if c in ports]
    who, s = " and ".join(bound), "s" * (len(bound) == 1)
    return (
        Choice(f"{who} act{s} enabled or not", {}),
        Choice(f"{who} need{s} the enable", {"priority": ["enable", *bound]}),
    )
