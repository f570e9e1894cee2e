"""Clock dividers: ticks and square waves, one check for each."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from verify.bench.inference.comments import said_ratio
from verify.bench.inference.controls import controls_of
from verify.bench.inference.findings import Assumption, Choice, Proposal, Question, Unknown
from verify.bench.inference.quantities import (
    Number,
    frequency_of,
    plain_megahertz,
    rate_of,
    ratio_parameter,
    said_rate,
    time_parameter,
)
from verify.bench.inference.seen import Seen
from verify.bench.inference.usual_clocks import usual_clock
from verify.bench.inference.view import View

__all__ = ["ask_ratio", "propose_dividers"]

_CONTROLS = ("enable", "clear")

_LONG = 200
"""What a part is compared with, above any number of states of a stage."""


def propose_dividers(view: View) -> list[Proposal] | Unknown | None:
    """A check for every output of one bit, where a module has no others."""
    if view.clock is None or not view.outputs:
        return None
    single = [s for s in view.outputs if s.width == 1]
    if len(single) < len(view.outputs):
        return None
    if any(s.width > 1 for s in view.inputs):
        names = ", ".join(s.port.name for s in view.inputs if s.width > 1)
        return Unknown(view.module, "divider", f"its ratio is no constant: {names} comes in")
    found = []
    for seen in single:
        near = view.towards(seen)
        controls = controls_of(near, near.inputs, _CONTROLS)
        if controls.left:
            return Unknown(view.module, "divider", controls.why_left)
        found.append(_one(near, seen, controls.ports, controls.assumptions))
    if all(p.questions for p in found) and not _about_time(view, single):
        names = ", ".join(s.port.name for s in single)
        return Unknown(view.module, "divider", f"nothing says in which rhythm {names} should come")
    if len(found) == 1:
        return found
    return [replace(p, label=f"divider {s.port.name}") for p, s in zip(found, single, strict=True)]


def _about_time(view: View, outputs: list[Seen]) -> bool:
    """Whether the module or one of its outputs is called after a clock or a tick, or is the only output."""
    meanings = ("divider", "tick", "clock", "square", "carry", "enable")
    return len(outputs) == 1 or any(n.means(*meanings) for n in (view.name, *(s.name for s in outputs)))


def _one(view: View, seen: Seen, ports: dict[str, Any], told: list[Assumption]) -> Proposal:
    square, sure = _is_square(view, seen)
    number, expect, clock, assumptions = _ratio(view, seen, square=square)
    role = "square" if square else "tick"
    shape = "a square wave" if square else "a tick of one clock"
    assumptions = [Assumption(f"ports.{role}", f"{seen.port.name} is {shape}", seen.port.place), *assumptions]
    questions: list[Question] = []
    rivals: list[Choice] = []
    if not expect and clock.frequency is None:
        rate = rate_of(seen.name.text) or rate_of(view.name.text)
        usual = usual_clock(view, rate) if rate and not square else None
        if usual is None:
            questions.append(ask_ratio(view, seen.port.name))
        else:
            clock, expect = replace(clock, frequency=usual.hz), {"rate": rate}
            assumptions.append(usual.assumption)
    if any("all that is given" in a.text for a in assumptions):
        rivals += [Choice(f"{rate:,} periods per second", {"rate": rate}) for rate in (2, 10, 100, 1000)]
    if any("all that is given" in a.text or "a comment says" in a.text for a in assumptions):
        rivals += _even_rates(view, clock.frequency, square=square)
    several = [p.name for p in view.module.parameters if not p.local and (p.value or 0) > 1]
    if number is not None and len(several) == 2 and view.module.instances:
        product = " * ".join(several)
        rivals.append(Choice(f"{product} clocks per period", {"ratio": product}))
    if number is not None and number.other is not None:
        rivals.append(Choice(number.other_text, {"ratio": number.other}))
    axes: list[tuple[Choice, ...]] = []
    if not square and seen.name.low:
        expect["active"] = "low"
    del sure
    return Proposal(
        module=view.module,
        model="divider",
        ports={role: seen.port.name, **ports},
        expect=expect,
        clock=clock,
        reset=view.reset,
        assumptions=(*view.assumptions, *told, *assumptions),
        axes=tuple(axes),
        rivals=tuple(rivals),
        questions=(*view.questions, *questions),
        certainty=0.6,
    )


def _is_square(view: View, seen: Seen) -> tuple[bool, bool]:
    """Whether the output is a square wave: by its name, else by how it is driven."""
    name = seen.name
    toggled = re.search(
        rf"\b{re.escape(seen.port.name)}\s*(<=|=)\s*[~!]\s*\(?{re.escape(seen.port.name)}\b", view.text
    )
    if toggled:
        return True, True
    if name.means("tick", "carry", "enable", "done") and not name.means("clock", "square"):
        return False, True
    source = re.search(rf"assign\s+{re.escape(seen.port.name)}\s*=\s*(\w+)\s*;", view.text)
    if source and re.search(rf"\b{source[1]}\s*(<=|=)\s*[~!]\s*\(?{source[1]}\b", view.text):
        return True, True
    pulsed = re.search(rf"\b{re.escape(seen.port.name)}\s*(<=|=)\s*\(?\s*1'b0\s*;", view.text)
    compared = re.search(rf"\b{re.escape(seen.port.name)}\s*(<=|=)\s*\(?[^;?]*==[^;]*;", view.text)
    if (pulsed or compared) and not name.means("square", "clock"):
        return False, False
    if compared:
        return False, False
    return name.means("clock", "square"), False


def _ratio(
    view: View, seen: Seen, *, square: bool
) -> tuple[Number | None, dict[str, Any], Any, list[Assumption]]:
    """The ratio, the options that hold it, the clock table, and why."""
    clock = view.clock
    assert clock is not None  # noqa: S101 -- the caller has one
    frequency = frequency_of(view)
    rate = rate_of(seen.port.name) or _commented(seen.comment) or rate_of(view.module.name)
    wanted = _rate_parameter(view)
    told_by = f"the name {seen.port.name} says so" if rate_of(seen.port.name) else "a name or comment says so"
    if rate is None and wanted is None and frequency is not None:
        rate, told_by = _other_rate(view, seen, frequency.hz)
    if frequency is not None and (time := time_parameter(view)) is not None:
        told = [frequency.assumption, Assumption("expect.ratio", time.text, time.place)]
        clock = replace(clock, frequency=frequency.hz, parameter=frequency.parameter)
        return time, {"ratio": f"{frequency.expression or frequency.hz} * {time.value}"}, clock, told
    if frequency is not None and (rate is not None or wanted is not None):
        told = [frequency.assumption]
        clock = replace(clock, frequency=frequency.hz, parameter=frequency.parameter)
        if wanted is not None:
            value, text, place = wanted
            expression = frequency.expression or str(frequency.hz)
            told.append(Assumption("expect.ratio", text, place))
            return None, {"ratio": f"{expression} // {value}"}, clock, told
        told.append(
            Assumption(
                "expect.rate",
                f"{rate:,} period{'s' * (rate != 1)} per second: {told_by}",
                seen.port.place,
            )
        )
        if frequency.parameter is None or rate == 1:
            return None, {"rate": rate}, clock, told
        return None, {"rate": rate}, clock, told
    parameter = ratio_parameter(view, square=square)
    if parameter is not None:
        told = [Assumption("expect.ratio", parameter.text, parameter.place)]
        settable = any(p.name == parameter.parameter and not p.local for p in view.module.parameters)
        if settable and parameter.number > 5000:
            clock = replace(clock, parameter=parameter.parameter)
        return parameter, {"ratio": parameter.value}, clock, told
    named = re.search(
        r"(?i)(?:by|div|durch|par|over|teiler)_?(\d+)(?![\d]*\s*(hz|k|m))", view.module.name
    ) or re.search(r"(?i)(?:by|div|durch|_d)_?(\d+)", seen.port.name)
    if named and int(named[1]) > 1:
        number = int(named[1])
        told = [Assumption("expect.ratio", f"divided by {number}: the name says so", view.module.place)]
        return None, {"ratio": number}, clock, told
    if (said := said_ratio(view)) is not None:
        number, comment = said
        told = [
            Assumption("expect.ratio", f'divided by {number}: the comment "{comment}"', view.module.place)
        ]
        return None, {"ratio": number}, clock, told
    if frequency is not None:
        text = "one period per second: the clock frequency is all that is given"
        told = [frequency.assumption, Assumption("expect.rate", text, seen.port.place)]
        return None, {"rate": 1}, replace(clock, frequency=frequency.hz, parameter=frequency.parameter), told
    return None, {}, clock, []


def _even_rates(view: View, clock_hz: int, *, square: bool) -> list[Choice]:
    """Rates without a remainder that a comparison in the code makes: a slip by one makes none."""
    ends = [c.value + 1 for c in view.module.comparisons] or [1]
    ratios = {end * (1 + square) for end in ends if end * (1 + square) > 1}
    return [
        Choice(f"{clock_hz // ratio:,} periods per second, as the code has it", {"rate": clock_hz // ratio})
        for ratio in sorted(ratios)
        if clock_hz % ratio == 0
    ]


def _other_rate(view: View, seen: Seen, clock_hz: int) -> tuple[int | None, str]:
    """The rate by a name such as ``clk25``, else by a comment where there is one output; and why."""
    named = plain_megahertz(seen.port.name)
    if named is not None and named < clock_hz:
        return named, f"{seen.port.name} is taken for {named // 10**6} MHz"
    ratio = ratio_parameter(view, square=True)
    settable = ratio is not None and any(
        p.name == ratio.parameter and not p.local for p in view.module.parameters
    )
    single = sum(s.width == 1 for s in view.outputs) == 1
    said = said_rate(view, clock_hz) if single and not settable else None
    return (None, "") if said is None else (said[0], f'a comment says "{said[1]}"')


def _commented(comment: str) -> int | None:
    """A rate in the comment of a port."""
    match = re.search(r"(?i)(\d+)\s*(k|m)?hz", comment)
    if match:
        return int(match[1]) * {"k": 1000, "m": 10**6, None: 1}[match[2].lower() if match[2] else None]
    return (
        1 if re.search(r"(?i)once (a|per) second|every second|per second|one second|1 s\b", comment) else None
    )


def _rate_parameter(view: View) -> tuple[str, str, Any] | None:
    """A parameter that carries the wanted rate in Hz, such as ``OUT_HZ``."""
    for parameter in view.module.parameters:
        if parameter.value and re.search(
            r"(?i)(out|tick|target|desired|want|blink|refresh|scan|led|pulse|beat)_?(clk_?)?(hz|freq\w*|rate)$|^(rate|baud\w*|f_?out)$",
            parameter.name,
        ):
            return (
                parameter.name,
                f"{parameter.name} = {parameter.value}: periods per second",
                parameter.place,
            )
    return None


def ask_ratio(view: View, who: str) -> Question:
    """How many clocks a period has; the comparison in the code is no evidence of what is meant."""
    compared = [c for m in (view.module, *view.children) for c in m.comparisons]
    large = [c for c in view.module.comparisons if c.value > 1] or [c for c in compared if c.value > _LONG]
    found = max(large, key=lambda c: c.value, default=None)
    text = f"how many clocks does a period of {who} have? No name, parameter or comment says it"
    if found is None:
        return Question(
            text,
            (("this many", "expect = { ratio = CLOCKS }"), ("from the clock", "[clock] frequency = HERTZ")),
            view.module.place,
        )
    clocks = found.value + 1
    return Question(
        f"{text}; the code compares {found.signal} with {found.value}",
        (
            (f"{clocks:,} clocks", f"expect = {{ ratio = {clocks} }}"),
            (f"{2 * clocks:,} clocks, if it toggles there", f"expect = {{ ratio = {2 * clocks} }}"),
            ("from the clock", "[clock] frequency = HERTZ  # and expect = { rate = 1 }"),
        ),
        found.place,
    )
