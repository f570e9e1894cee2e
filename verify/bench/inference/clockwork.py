"""What timers and displays share: clocks per step, controls, and which way they count."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from verify.bench.inference.buttons import BUTTONS
from verify.bench.inference.controls import Controls
from verify.bench.inference.dividers import ask_ratio
from verify.bench.inference.findings import Assumption, Choice, Clock, Question
from verify.bench.inference.quantities import Frequency, frequency_of, ratio_parameter
from verify.bench.inference.usual_clocks import usual_clock
from verify.bench.inference.view import View

__all__ = ["UNITS", "Pace", "counts_seconds", "has_prescaler", "pace_of", "stage_axes", "units_inside"]

UNITS = ("hundredths", "tenths", "seconds", "minutes", "hours")
"""Fastest first."""

_RATES = {"hundredths": 100, "tenths": 10, "seconds": 1}
_SECONDS = {"minutes": 60, "hours": 3600}
LAST_SECOND = 59
_LARGE, _WIDE = 200, 10
_DWELL = re.compile(r"(?i)dwell|refresh|scan|mux|digit_?(time|period|cycles)|gap|debounce|blank")


@dataclass(slots=True)
class Pace:
    """How fast a timer steps: the clock table, the options, and why."""

    clock: Clock
    expect: dict[str, Any] = field(default_factory=dict)
    assumptions: list[Assumption] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    rivals: list[Choice] = field(default_factory=list)
    steps_per_clock: bool = False


def units_inside(view: View) -> list[str]:
    """The units of time that registers, instances and outputs are called after, fastest first."""
    names = [*view.below, *(s.name for s in view.outputs)]
    found = []
    for unit in UNITS:
        plain = {"seg", "segs", "m", "s", "h", "mm", "cent", "in", "d", "min"}
        if any(
            n.means(unit)
            and (set(n.words) - plain or (unit == "minutes" and "min" in n.words))
            and _strong(n.words, unit)
            for n in names
        ):
            found.append(unit)
    return found


def _strong(words: Sequence[str], unit: str) -> bool:
    from verify.bench.inference.vocabulary import MEANINGS  # noqa: PLC0415

    return any(
        unit in MEANINGS.get(w, ()) and (len(w) > 2 or w in {"ss", "hh", "hr", "cs", "mn"}) and w != "seg"
        for w in words
    )


def has_prescaler(view: View) -> bool:
    """Whether something inside divides the clock before the stages step."""
    outputs = {s.port.name for s in view.outputs}
    widest = max((s.width for s in view.outputs), default=1)
    modules = (view.module, *view.children)
    if any(c.value > _LARGE and not _DWELL.search(c.signal) for m in modules for c in m.comparisons):
        return True
    hidden = [
        r
        for r in view.module.registers
        if r.name not in outputs and r.width > 1 and not _DWELL.search(r.name)
    ]
    if any(r.width >= _WIDE and r.width > widest for r in hidden):
        return True
    shown = [
        s
        for s in view.outputs
        if s.width > 1 and not any(r.name == s.port.name for r in view.module.registers)
    ]
    compared = {c.signal for c in view.module.comparisons}
    if (
        not view.module.instances
        and sum(r.width for r in hidden) > sum(s.width for s in shown)
        and any(r.name in compared for r in hidden)
    ):
        return True
    return any(n.means("divider") for n in view.below)


def pace_of(view: View, fastest: str, controls: Controls) -> Pace:
    """Clocks per step of the fastest stage that is shown, which counts ``fastest`` units."""
    clock = view.clock
    assert clock is not None  # noqa: S101 -- the caller has one
    pace = Pace(clock)
    prescaled = has_prescaler(view)
    frequency = frequency_of(view)
    rate = _RATES.get(fastest, 1)
    seconds = _SECONDS.get(fastest, 1)
    hidden = seconds if seconds > 1 and counts_seconds(view) else 1
    enabled = any(role in controls.ports for role in ("enable", *BUTTONS))
    if frequency is not None and (prescaled or frequency.parameter or frequency.hz <= rate):
        return _by_frequency(pace, frequency, rate, seconds)
    parameter = ratio_parameter(view, square=False)
    if prescaled and parameter is not None and not _DWELL.search(str(parameter.parameter)):
        pace.expect["ratio"] = _times(hidden, parameter.value)
        pace.assumptions.append(Assumption("expect.ratio", parameter.text, parameter.place))
        if parameter.other is not None:
            pace.rivals.append(Choice(parameter.other_text, {"ratio": _times(hidden, parameter.other)}))
        settable = any(p.name == parameter.parameter and not p.local for p in view.module.parameters)
        if settable and parameter.number > 5000:
            pace.clock = replace(clock, parameter=parameter.parameter)
        return pace
    if not prescaled and hidden > 1:
        pace.expect["ratio"] = hidden
        why = f"it counts seconds that it does not show: {hidden} steps to one of its {fastest}"
        pace.assumptions.append(Assumption("expect.ratio", why, view.module.place))
        return pace
    if not prescaled:
        pace.expect["ratio"] = 1
        pace.steps_per_clock = True
        why = "nothing inside divides the clock: it steps at every clock"
        pace.assumptions.append(
            Assumption("expect.ratio", why + (" that enables it" if enabled else ""), view.module.place)
        )
        return pace
    if (usual := usual_clock(view, rate)) is not None:
        return _by_frequency(pace, usual, rate, seconds)
    pace.questions.append(ask_ratio(view, f"the {fastest}"))
    return pace


def _by_frequency(pace: Pace, frequency: Frequency, rate: int, seconds: int) -> Pace:
    """With the frequency of the clock: ``rate`` steps a second, or ``seconds`` to a step."""
    pace.clock = replace(pace.clock, frequency=frequency.hz, parameter=frequency.parameter)
    pace.assumptions.append(frequency.assumption)
    if rate != 1:
        pace.expect["rate"] = rate
    if seconds > 1:
        pace.expect["ratio"] = _times(seconds, frequency.expression or frequency.parameter or frequency.hz)
    elif frequency.expression and not frequency.parameter:
        pace.expect.pop("rate", None)
        pace.expect["ratio"] = f"{frequency.expression} // {rate}" if rate > 1 else frequency.expression
    return pace


def counts_seconds(view: View) -> bool:
    """Whether it counts seconds inside: something is called so, or a register not shown goes to 59."""
    shown = {s.port.name for s in view.outputs}
    registers = {r.name for r in view.module.registers}
    to_59 = (c for c in view.module.comparisons if c.value == LAST_SECOND)
    return "seconds" in units_inside(view) or any(c.signal in registers - shown for c in to_59)


def _times(many: int, clocks: int | str) -> int | str:
    """So many times a number of clocks, as a bench would hold it."""
    if many == 1:
        return clocks
    return many * clocks if isinstance(clocks, int) else f"{many} * ({clocks})"


def stage_axes(
    view: View, pace: Pace, controls: Controls, tops: Sequence[Any], *, down: bool = False
) -> tuple[dict[str, Any], list[tuple[Choice, ...]]]:
    """Options and open conventions of a timer: what pause and clear do, which way it counts, the end.

    ``down``: the code steps it downwards; else a name may say so.
    """
    expect: dict[str, Any] = {}
    axes: list[tuple[Choice, ...]] = []
    if not pace.steps_per_clock:
        if {"enable", *BUTTONS} & set(controls.ports):
            axes.append(
                (
                    Choice("a pause keeps the part of a second", {"pause": "freeze"}),
                    Choice("the second runs on in a pause", {"pause": "gate"}),
                )
            )
        if "clear" in controls.ports:
            axes.append(
                (
                    Choice("clear empties the part of a second, too", {"clear": "all"}),
                    Choice("clear leaves the part of a second", {"clear": "stages"}),
                )
            )
    names = [view.name, *(s.name for s in view.outputs)]
    if down or any(
        n.has("down", "countdown", "remaining", "left", "compte")
        or re.search(r"(?i)count_?down|rebours|egg|kitchen|restzeit", n.text)
        for n in names
    ):
        expect["direction"] = "down"
        axes.append(
            (
                Choice("it stops at zero", {"at_end": "stop"}),
                Choice("it wraps at zero", {"at_end": "wrap"}),
            )
        )
        if all(isinstance(t, int) for t in tops):
            highest = [t - 1 for t in tops]
            axes.append(
                (
                    Choice("reset puts it at zero", {"start": [0] * len(tops)}),
                    Choice("reset puts it at its highest", {"start": highest}),
                )
            )
    return expect, axes
