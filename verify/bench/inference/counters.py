"""Counters: one number, in binary or in digits."""

from __future__ import annotations

import re
from dataclasses import replace
from math import prod
from typing import Any

from verify.bench.inference.controls import controls_of, port_of
from verify.bench.inference.converters import ordered_digits
from verify.bench.inference.findings import Assumption, Choice, Proposal, Question, Unknown
from verify.bench.inference.quantities import modulo_parameter, number_in_name
from verify.bench.inference.view import Seen, View

__all__ = ["propose_counter", "unit_modulo"]

_CONTROLS = ("enable", "clear", "load", "up")
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
    wide = [s for s in view.outputs if s.width > 1]
    digits = ordered_digits(wide) if len(wide) > 1 else []
    scalars = _scalar_bits(view) if not wide else []
    if not (len(wide) == 1 or len(digits) == len(wide) >= 2 or scalars):
        return None
    if len(view.clocks) > 1 and sum(view.module.port(c) is not None for c in view.clocks) > 1:
        return Unknown(view.module, "counter", f"it runs on several clocks: {', '.join(view.clocks)}")
    if (other := _other_code(view, wide)) is not None:
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
        names = ", ".join(s.port.name for s in controls.left)
        return Unknown(view.module, "counter", f"nothing says what {names} does")
    width = _count_ports(wide, digits, scalars, ports, assumptions)
    _direction(view, ports, expect, assumptions)
    carry = [
        s for s in view.outputs if s.width == 1 and s not in scalars and s.name.means("carry", "done", "tick")
    ]
    if len(carry) == 1:
        ports["carry"] = port_of(carry[0].port.name, low=False)
        assumptions.append(
            Assumption("ports.carry", f"{carry[0].port.name} is the carry", carry[0].port.place)
        )
        axes.append(_CARRIES)
    questions: list[Question] = []
    rivals: list[Choice] = []
    _states(view, wide, digits, width, expect, assumptions, axes, questions, rivals)
    if expect.get("direction") == "down":
        axes.append(
            _starts(expect.get("modulo"), _states_of(expect, 10 ** len(digits) if digits else 1 << width))
        )
    else:
        _start(view, [s.port.name for s in wide] or ["count"], expect, assumptions, questions)
    questions += _odd_step(view, wide)
    if "load" in ports or "clear" in ports:
        axes.append(_priorities(ports))
    if expect.get("direction") == "down" and wide and not digits and "load" in ports:
        stops = _stopping(view, ports, expect, width, assumptions, axes)
        if stops is not None:
            return replace(stops, rivals=tuple(rivals), questions=(*view.questions, *questions))
    return Proposal(
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


def _other_code(view: View, wide: list[Seen]) -> str | None:
    """Why the number that comes out is none that is counted in steps, None when it may be."""
    if re.search(r"(?i)gray|johnson|lfsr|prbs|one_?hot|ring|random|shift|twisted", view.name.text):
        return f"{view.module.name} by its name counts in no steps"
    if view.module.instances or len(wide) != 1:
        return None
    registers = {r.name for r in view.module.registers}
    port = wide[0].port.name
    if port in registers:
        return None if re.search(r"[-+]", view.text) else f"{port} is not stepped up or down"
    source = re.search(rf"assign\s+{re.escape(port)}\s*=\s*([^;]+);", view.text)
    if source and not re.fullmatch(r"\s*\w+\s*(\[[^\]]*\])?\s*|\s*\{[\w\s,]*\}\s*", source[1]):
        return f"{port} is made of other signals: {' '.join(source[1].split())[:60]}"
    return None


_BASES = {"b": 2, "o": 8, "d": 10, "h": 16}
_LITERAL = (
    r"(?:\d*\s*'[sS]?(?P<base>[bodhBODH])\s*(?=[0-9a-fA-F_]+\b))?"
    r"(?P<digits>(?(base)[0-9a-fA-F_]+|\d+))\b(?!\s*')"
)


def _odd_step(view: View, wide: list[Seen]) -> list[Question]:
    """A step other than one in the code may be meant, or a slip."""
    seen = wide[0] if len(wide) == 1 else None
    for counted in () if seen is None else (seen.port.name, *(r.name for r in view.module.registers)):
        name = re.escape(counted)
        match = re.search(rf"\b{name}\s*<?=[^;]*\b{name}\s*[-+]\s*{_LITERAL}", view.text)
        step = 1 if match is None else int(match["digits"], _BASES[(match["base"] or "d").lower()])
        if seen is not None and step > 1:
            return [
                Question(
                    f"in which steps does {seen.port.name} count? The code adds {step}",
                    (
                        (f"steps of {step}", f"expect = {{ step = {step} }}"),
                        ("steps of 1", "expect = { step = 1 }"),
                    ),
                    seen.port.place,
                )
            ]
    return []


def _counts_down(view: View) -> bool:
    words = [w for w in view.name.words if w != "dec" or not view.name.means("bcd")]
    down = any(w in {"down", "dn", "countdown", "descending", "rueckwaerts", "abajo", "neer"} for w in words)
    down |= bool(re.search(r"(?i)count_?down|down_?count", view.name.text))
    return down and not any(w in {"up", "updown", "ud"} for w in words)


def _stopping(
    view: View,
    ports: dict[str, Any],
    expect: dict[str, Any],
    width: int,
    assumptions: list[Assumption],
    axes: list[tuple[Choice, ...]],
) -> Proposal | None:
    """A count-down may stop at zero, which a counter never does: it is a timer of one stage."""
    moved = {"count": "stages", "carry": "done", "load_value": "load_values"}
    own = {
        moved.get(role, role): [ref] if role in {"count", "load_value"} else ref
        for role, ref in ports.items()
    }
    if "encoding" in expect or "up" in own:
        return None
    modulo = expect.get("modulo", 1 << width)
    starts = [c for axis in axes for c in axis if "start" in c.expect]
    return Proposal(
        module=view.module,
        model="timer",
        ports=own,
        expect={"modulo": [modulo], "ratio": 1, "direction": "down"},
        clock=view.clock,
        reset=view.reset,
        assumptions=(
            *view.assumptions,
            *(replace(a, key=a.key.replace("count", "stages")) for a in assumptions),
        ),
        axes=(
            (Choice("it stops at zero", {"at_end": "stop"}), Choice("it wraps at zero", {"at_end": "wrap"})),
            tuple(replace(c, expect={"start": [c.expect["start"]]}) for c in starts[::-1]),
        ),
        certainty=0.7,
    )


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
    return (
        Choice(f"{' and '.join(bound)} act enabled or not", {}),
        Choice(f"{' and '.join(bound)} need the enable", {"priority": ["enable", *bound]}),
    )


def unit_modulo(seen: Seen) -> int | None:
    """States that a port called after a unit of time has."""
    name = seen.name
    if name.means("tens") and name.means("seconds", "minutes"):
        return 6
    if name.means("ones") and name.means("seconds", "minutes"):
        return 10
    spanish = set(name.words) & {"seg", "segs"} and seen.width == 7
    single = set(name.words) <= {"s", "m", "h"}
    if name.means("seconds", "minutes") and not spanish and (not single or seen.width in {6, 7, 8}):
        return 60
    if name.means("hundredths"):
        return 100
    if name.means("tenths") and not name.means("tens"):
        return 10
    return None


def _states(
    view: View,
    wide: list[Seen],
    digits: list[Seen],
    width: int,
    expect: dict[str, Any],
    assumptions: list[Assumption],
    axes: list[tuple[Choice, ...]],
    questions: list[Question],
    rivals: list[Choice],
) -> None:
    """How many states: from the unit in a name, a parameter, a number in a name, or the width alone."""
    number = number_in_name(view, width, most=10 ** len(digits) if digits else 1 << width)
    units = [u for u in ("seconds", "minutes", "hours") if view.name.means(u)]
    if len(units) > 1 and wide and wide[0].width == 8 * len(units):
        expect |= {
            "encoding": "bcd",
            "digit_modulo": [10, 6] * min(len(units), 2) + [10, 10] * (len(units) == 3),
        }
        assumptions.append(
            Assumption("expect.digit_modulo", f"packed digits of {' and '.join(units)}", view.module.place)
        )
        return
    if digits:
        _digit_states(view, digits, number.value if number else None, expect, assumptions)
        if expect.get("digit_modulo") == [10] * len(digits) and "modulo" not in expect and number is None:
            _doubted_digits(view, digits, questions)
        return
    seen = wide[0] if wide else None
    about = [s for s in (seen,) if s is not None]
    unit = next((m for m in map(unit_modulo, about) if m), None) or _unit_of(view)
    packed = seen is not None and seen.width >= 8 and seen.width % 4 == 0
    if packed and (view.name.has("bcd") or (seen is not None and seen.name.means("bcd"))):
        expect["encoding"] = "bcd"
        assumptions.append(
            Assumption("expect.encoding", "the count is in packed decimal digits", view.module.place)
        )
    elif packed and unit == 60 and seen is not None and seen.width == 8:
        axes.append(
            (
                Choice("the count is in binary", {"encoding": "binary"}),
                Choice("the count is in decimal digits", {"encoding": "bcd"}),
            )
        )
    if number is not None:
        if number.other is not None:
            rivals.append(Choice(number.other_text, {"modulo": number.other}))
        expect["modulo"] = number.value
        assumptions.append(Assumption("expect.modulo", number.text, number.place))
        return
    parameter = modulo_parameter(view)
    if unit is not None and (parameter is None or parameter.number == unit):
        expect["modulo"] = unit
        who = seen.port if seen is not None else view.module
        assumptions.append(Assumption("expect.modulo", f"{who.name} speaks of {unit} states", who.place))
        return
    if view.inside("hours") and _hours(view, width, expect, axes, assumptions):
        return
    if parameter is not None and parameter.number <= 1 << width:
        expect["modulo"] = parameter.value
        assumptions.append(Assumption("expect.modulo", parameter.text, parameter.place))
        if parameter.other is not None:
            rivals.append(Choice(parameter.other_text, {"modulo": parameter.other}))
        return
    if "encoding" in expect:
        return
    if (view.name.has("bcd") or (seen is not None and seen.name.has("bcd", "digit"))) and width == 4:
        expect["modulo"] = 10
        assumptions.append(Assumption("expect.modulo", "a decimal digit has 10 states", view.module.place))
        return
    _full(view, seen, width, assumptions, questions)


def _unit_of(view: View) -> int | None:
    name = view.name
    if name.means("tens") and name.means("seconds", "minutes"):
        return 6
    strong = any(
        len(w) > 2
        for w in name.words
        if w in {"sec", "secs", "second", "seconds", "min", "mins", "minute", "minutes"}
    )
    if name.means("seconds", "minutes") and (strong or not name.means("segments")):
        return 60
    return None


def _hours(
    view: View,
    width: int,
    expect: dict[str, Any],
    axes: list[tuple[Choice, ...]],
    assumptions: list[Assumption],
) -> bool:
    kinds = {4: (12,), 5: (24,), 6: (24,), 7: (100, 24), 8: (24, 100)}.get(width)
    if kinds is None:
        return False
    assumptions.append(
        Assumption(
            "expect.modulo",
            f"hours in {width} bits: {' or '.join(map(str, kinds))} of them",
            view.module.place,
        )
    )
    if len(kinds) == 1:
        expect["modulo"] = kinds[0]
    else:
        axes.append(tuple(Choice(f"{kind} hours", {"modulo": kind}) for kind in kinds))
    return True


def _full(
    view: View,
    seen: Seen | None,
    width: int,
    assumptions: list[Assumption],
    questions: list[Question],
) -> None:
    """Nothing in a name: all states of the port, if the code compares the count with nothing."""
    compared = [
        c
        for c in view.module.comparisons
        if c.value not in {0, (1 << width) - 1, 1 << width} and c.value < 1 << width
    ]
    registers = {r.name: r.width for r in view.module.registers}
    compared = [
        c
        for c in compared
        if registers.get(c.signal, width) == width or (seen and c.signal == seen.port.name)
    ]
    if not compared:
        text = f"all {1 << width} states of its {width} bits: no name and no comparison says less"
        assumptions.append(Assumption("expect.modulo", text, view.module.place))
        return
    first = compared[0]
    who = seen.port.name if seen is not None else view.module.name
    least = first.value + 1 if first.operator in {"==", ">=", "<", "!="} else first.value + 2
    others = [m for m in (first.value, 10, 16, 60, 1 << width) if m != least and m <= 1 << width]
    readings = [least, *others[:1]]
    questions.append(
        Question(
            f"how many states does {who} have? The code compares {first.signal} with {first.value}, and no "
            "name, parameter or comment says what is meant",
            tuple((f"{m} states", f"expect = {{ modulo = {m} }}") for m in readings),
            first.place,
        )
    )


def _doubted_digits(view: View, digits: list[Seen], questions: list[Question]) -> None:
    """Digits without a name go to nine each, unless the code compares one with something else."""
    names = {s.port.name: i for i, s in enumerate(digits)}
    other = next((c for c in view.module.comparisons if c.signal in names and 0 < c.value < 9), None)
    if other is not None:
        moduli = [10] * len(digits)
        moduli[names[other.signal]] = other.value + 1
        questions.append(
            Question(
                f"how many states does {other.signal} have? The code compares it with {other.value}, "
                "and no name says what is meant",
                (
                    (f"{other.value + 1} states", f"expect = {{ digit_modulo = {moduli} }}"),
                    ("10 states", f"expect = {{ digit_modulo = {[10] * len(digits)} }}"),
                ),
                other.place,
            )
        )


def _digit_states(
    view: View, digits: list[Seen], number: Any, expect: dict[str, Any], assumptions: list[Assumption]
) -> None:
    units = [unit_modulo(s) for s in digits]
    moduli = [u if u in {6, 10} else 10 for u in units]
    place = digits[0].port.place
    if number is not None and isinstance(number, int):
        if len(digits) == 2 and number == 60:
            moduli = [10, 6]
        elif number != 10 ** len(digits):
            expect["modulo"] = number
        expect["digit_modulo"] = moduli
        assumptions.append(
            Assumption(
                "expect.modulo", f"{number} states: the name {view.module.name} says so", view.module.place
            )
        )
        return
    if any(u == 6 for u in units) or (len(digits) == 2 and _unit_of(view) == 60):
        moduli = [10, 6] if len(digits) == 2 else moduli
        assumptions.append(
            Assumption(
                "expect.digit_modulo", f"digits of {', '.join(map(str, moduli))} states: sixty in all", place
            )
        )
    else:
        assumptions.append(Assumption("expect.digit_modulo", "decimal digits of ten states each", place))
    expect["digit_modulo"] = moduli
