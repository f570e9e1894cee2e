"""How many states a counter has: from the unit in a name, a parameter, a number in a name, or its width."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from verify.bench.inference.comments import said_states
from verify.bench.inference.findings import Assumption, Choice, Question
from verify.bench.inference.names import name_of
from verify.bench.inference.quantities import Number, modulo_parameter, number_in_name
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View
from verify.design.interface import Comparison
from verify.errors import Place

__all__ = ["count_states"]


def _unit_modulo(seen: Seen) -> int | None:
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


def count_states(
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
    number = _told(view, wide, width, most=10 ** len(digits) if digits else 1 << width)
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
    if digits and number is None and (said := _said(view, None, width, most=10 ** len(digits))):
        number = said if said.number > 10 else None
    if digits:
        _digit_states(view, digits, number.value if number else None, expect, assumptions)
        if expect.get("digit_modulo") == [10] * len(digits) and "modulo" not in expect and number is None:
            rivals += _doubted_digits(view, digits, expect, assumptions, questions)
        return
    seen = wide[0] if wide else None
    about = [s for s in (seen,) if s is not None]
    unit = next((m for m in map(_unit_modulo, about) if m), None) or _unit_of(view)
    packed = seen is not None and seen.width >= 8 and seen.width % 4 == 0
    if packed and number is None and seen is not None and (sixties := _nibbles_of_sixty(view, seen)):
        expect |= {"encoding": "bcd", "digit_modulo": sixties[0]}
        assumptions.append(sixties[1])
        return
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
    if (said := _said(view, seen, width, most=1 << width)) is not None:
        expect["modulo"] = said.value
        assumptions.append(Assumption("expect.modulo", said.text, said.place))
        if said.other is not None:
            rivals.append(Choice(said.other_text, {"modulo": said.other}))
        return
    if (view.name.has("bcd") or (seen is not None and seen.name.has("bcd", "digit"))) and width == 4:
        expect["modulo"] = 10
        assumptions.append(Assumption("expect.modulo", "a decimal digit has 10 states", view.module.place))
        return
    _full(view, seen, width, expect, assumptions, questions)


_USUAL = (6, 10, 12, 24, 60, 100, 1000, 10_000)
"""Numbers of states that are nobody's slip: what is one off is none of them."""


def _told(view: View, wide: list[Seen], width: int, *, most: int) -> Number | None:
    """What the names of module, port and file say."""
    digits = {word for seen in wide for word in seen.name.words}
    # what digits are called is no number of states: ``dez_cent`` has tens and hundreds
    called = replace(view.name, words=tuple(w for w in view.name.words if w not in digits))
    number = number_in_name(called, view.module.place, width, most=most)
    if number is None and len(wide) == 1:
        number = number_in_name(wide[0].name, wide[0].port.place, width, most=most)
        if number is not None and number.number not in _USUAL:
            number = None
    if number is None:
        file = view.module.place.file
        stem = name_of(file.stem)
        stem = replace(stem, words=tuple(w for w in stem.words if w not in digits))
        number = number_in_name(stem, Place(file), width, most=most)
        usual = _usual_states(view, wide[0] if wide else None, width)
        if number is not None and number.other is None and usual not in {None, number.number}:
            # files are numbered for all sorts of reasons
            number = replace(number, other=usual, other_text=f"{usual} states, as the code has it")
    return number


def _said(view: View, seen: Seen | None, width: int, *, most: int) -> Number | None:
    """What the comments say; where the code has another usual number, that one is a rival."""
    said = said_states(view, most)
    if said is None:
        return None
    text = f'the comment "{said[1]}" says {said[0]} states'
    usual = _usual_states(view, seen, width)
    if usual in {None, said[0]}:
        return Number(said[0], said[0], text, view.module.place)
    other = f"{usual} states, as the code has it"
    return Number(said[0], said[0], text, view.module.place, other=usual, other_text=other)


def _usual_states(view: View, seen: Seen | None, width: int) -> int | None:
    """How many states the one comparison in the code makes, if that is a usual number."""
    found = {c.states for c in _compared(view, seen, width)}
    usual = found & set(_USUAL)
    return usual.pop() if len(found) == 1 and usual else None


def _compared(view: View, seen: Seen | None, width: int) -> list[Comparison]:
    """What the code compares the count with, zero and the highest number left out."""
    compared = [
        c
        for c in view.module.comparisons
        if c.value not in {0, (1 << width) - 1, 1 << width} and c.value < 1 << width
    ]
    registers = {r.name: r.width for r in view.module.registers}
    given = {port.name for port in view.module.ports if port.direction == "input"}
    return [
        c
        for c in compared
        if registers.get(c.signal, 0 if c.signal in given else width) == width
        or (seen and c.signal == seen.port.name)
    ]


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
    expect: dict[str, Any],
    assumptions: list[Assumption],
    questions: list[Question],
) -> None:
    """Nothing in a name: all states of the port, if the code compares the count with nothing.

    One state more than a comparison is taken for what is meant if it is a usual number, and asked
    about otherwise: a slip by one makes an unusual one.
    """
    compared = _compared(view, seen, width)
    if not compared:
        text = f"all {1 << width} states of its {width} bits: no name and no comparison says less"
        assumptions.append(Assumption("expect.modulo", text, view.module.place))
        return
    first = compared[0]
    who = seen.port.name if seen is not None else view.module.name
    if (usual := _usual_states(view, seen, width)) is not None:
        expect["modulo"] = usual
        text = f"{usual} states: no name says it, but {first.signal} goes to {usual - 1}, a usual last number"
        assumptions.append(Assumption("expect.modulo", text, first.place))
        return
    least = first.states
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


def _doubted_digits(
    view: View,
    digits: list[Seen],
    expect: dict[str, Any],
    assumptions: list[Assumption],
    questions: list[Question],
) -> list[Choice]:
    """Digits without a name go to nine each, unless the code compares one with something else.

    Tens that go to five are those of sixty, which is as usual as ten.
    """
    names = {s.port.name: i for i, s in enumerate(digits)}
    modules = (view.module, *view.children)
    compared = [c for m in modules for c in m.comparisons if c.signal in names and 0 < c.value < 9]
    other = next(iter(compared), None)
    parts = [i for name, i in names.items() if i % 2 and _made_with_six(view.text, name)]
    if other is None and parts:
        expect["digit_modulo"] = [6 if i in parts else 10 for i in range(len(digits))]
        name = digits[parts[0]].port.name
        text = f"no name says it, but the part behind {name} is given a 5 or 6, as for the tens of sixty"
        _say_instead(assumptions, Assumption("expect.digit_modulo", text, digits[parts[0]].port.place))
    if other is not None:
        moduli = [10] * len(digits)
        moduli[names[other.signal]] = other.value + 1
        if names[other.signal] % 2 and {c.states for c in compared} == {6}:
            tens = {names[c.signal] for c in compared}
            expect["digit_modulo"] = [6 if i in tens else 10 for i in range(len(digits))]
            text = f"no name says it, but {other.signal} goes to 5, as the tens of sixty do"
            _say_instead(assumptions, Assumption("expect.digit_modulo", text, other.place))
            return []
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
    return _perhaps_sixty(len(digits), expect, questions)


def _perhaps_sixty(digits: int, expect: dict[str, Any], questions: list[Question]) -> list[Choice]:
    """Where nothing tells decimal digits from those of sixty, the latter are a rival."""
    if digits not in {2, 4} or expect["digit_modulo"] != [10] * digits or questions:
        return []
    sixties = {"digit_modulo": [10, 6] * (digits // 2)}
    return [Choice("the tens go to 5, as those of sixty do", sixties)]


def _say_instead(assumptions: list[Assumption], better: Assumption) -> None:
    """In place of what was assumed of the same thing."""
    assumptions[:] = [*(a for a in assumptions if a.key != better.key), better]


def _made_with_six(text: str, name: str) -> bool:
    """Whether the part that drives a port is given one parameter, the last or the number of six states."""
    value = r"#\s*\(\s*(?:\.\w+\s*\(\s*)?(?:\d*'[dD])?[56]\s*\)?\s*\)"
    return bool(re.search(rf"{value}\s*\w+\s*\([^;]*\b{re.escape(name)}\b", text))


def _nibbles_of_sixty(view: View, seen: Seen) -> tuple[list[int], Assumption] | None:
    """Packed digits that the code puts together, of which the tens of seconds or minutes go to five."""
    source = re.search(rf"assign\s+{re.escape(seen.port.name)}\s*=\s*\{{([\w\s,]+)\}}\s*;", view.text)
    names = [name.strip() for name in source[1].split(",")][::-1] if source else []
    widths = {r.name: r.width for r in view.module.registers}
    if len(names) * 4 != seen.width or not all(widths.get(name) == 4 for name in names):
        return None
    sixes = [
        c
        for i, name in enumerate(names)
        for c in view.module.comparisons
        if c.signal == name and i % 2 and c.states == 6
    ]
    if not sixes:
        return None
    tens = {c.signal for c in sixes}
    text = f"no name says it, but {sixes[0].signal} goes to 5, as the tens of sixty do"
    told = Assumption("expect.digit_modulo", text, sixes[0].place)
    return [6 if name in tens else 10 for name in names], told


def _digit_states(
    view: View, digits: list[Seen], number: Any, expect: dict[str, Any], assumptions: list[Assumption]
) -> None:
    units = [_unit_modulo(s) for s in digits]
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
