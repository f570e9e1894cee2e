"""Timers: stages for units of time, in binary or in decimal digits."""

from __future__ import annotations

import re
from math import prod
from typing import Any

from verify.bench.inference.clockwork import UNITS, Pace, counts_seconds, pace_of, stage_axes
from verify.bench.inference.controls import Controls, controls_of, port_of
from verify.bench.inference.counter_code import steps_down
from verify.bench.inference.findings import Assumption, Choice, Proposal, Question, Reset, Unknown
from verify.bench.inference.seen import Seen
from verify.bench.inference.timer_stages import PLACES, packed_stages, reference_to, stages_of
from verify.bench.inference.twelve import Twelve, twelve_hours
from verify.bench.inference.view import View

__all__ = ["propose_timer"]

_CONTROLS = ("enable", "clear", "load", "start_stop")
_MODULI = {"hundredths": 100, "tenths": 10, "seconds": 60, "minutes": 60}
HALF_DAY = 12


def propose_timer(view: View) -> Proposal | Unknown | None:
    """A timer: outputs that are called after units of time."""
    if view.clock is None:
        return None
    stages = stages_of(view)
    if not stages:
        return None
    view = view.towards(*(seen for _, _, seen in stages))
    data = [s for s in view.inputs if s.width > 1]
    controls = controls_of(view, view.inputs, _CONTROLS)
    if controls.left:
        return Unknown(view.module, "timer", controls.why_left)
    units = list(dict.fromkeys(unit for unit, _, _ in stages))
    ports: dict[str, Any] = dict(controls.ports)
    packed = packed_stages(view, stages)
    if not _take_loads(stages, data, ports, packed=packed is not None):
        names = ", ".join(s.port.name for s in data)
        return Unknown(view.module, "timer", f"nothing says what {names} is for")
    stages = packed or stages
    twelve = twelve_hours(view, [(place, s) for unit, place, s in stages if unit == "hours"])
    named = _named(stages) and twelve is None
    pace = pace_of(view, "seconds" if named else units[0], controls)
    if named and pace.clock.frequency is None and not counts_seconds(view):
        named, pace = False, pace_of(view, units[0], controls)
    if len(units) == 1 and len(stages) == 1 and twelve is None and pace.steps_per_clock:
        return None
    assumptions = list(controls.assumptions)
    reset, clears = _reset_of_stages(view, stages, ports, assumptions)
    if clears:
        ports["clear"] = clears
    missing = [
        u
        for u in UNITS[UNITS.index(units[0]) : UNITS.index(units[-1])]
        if u not in (*units, "tenths", "hundredths")
    ]
    if missing:
        return Unknown(view.module, "timer", f"its {', '.join(missing)} do not come out")
    moduli, axes, rivals, problem = _moduli(view, stages)
    in_digits = [p for _, p, _ in stages] == [0, 1] * (len(stages) // 2)
    if twelve is not None:
        return _twelve(view, stages, twelve, moduli, pace, controls, ports, assumptions, reset)
    if pace.steps_per_clock and in_digits and len(stages) > 2 and stages[-1][0] == "hours" and None in moduli:
        return _day(view, stages, ports, (*assumptions, *pace.assumptions))
    if problem:
        return Unknown(view.module, "timer", problem)
    if named:
        ports |= {unit: s.port.name for unit, _, s in stages}
    else:
        ports["stages"] = [reference_to(place, s, packed=packed is not None) for _, place, s in stages]
    told = ", ".join(
        f"{s.port.name} ({'varies' if m is None else m})" for (_, _, s), m in zip(stages, moduli, strict=True)
    )
    assumptions.append(
        Assumption(
            f"ports.{units[0]}" if named else "ports.stages",
            f"stages, fastest first, and their states: {told}"
            + (f"; what is faster than {units[0]} is counted, but not shown" if named else ""),
            stages[0][2].port.place,
        )
    )
    expect: dict[str, Any] = {**pace.expect}
    if clears:
        expect["clear"] = "stages"
    if None not in moduli:
        expect["modulo"] = moduli
    down = _downwards(view, stages)
    more, further = stage_axes(view, pace, controls, moduli, down=bool(down))
    assumptions += down
    further = [axis for axis in further if "clear" not in axis[0].expect or not clears]
    expect |= more
    asked = [] if "direction" in more else _starts(view, stages, expect, assumptions)
    _flags(view, stages, ports, assumptions)
    return Proposal(
        module=view.module,
        model="timer",
        ports=ports,
        expect=expect,
        clock=pace.clock,
        reset=reset,
        assumptions=(*view.assumptions, *assumptions, *pace.assumptions),
        axes=(*axes, *further),
        rivals=(*rivals, *pace.rivals),
        questions=(*view.questions, *pace.questions, *asked),
        certainty=0.85,
    )


def _named(stages: list[tuple[str, int, Seen]]) -> bool:
    """Whether they are minutes, hours or both, each in one number, and no seconds below them."""
    units = [unit for unit, _, _ in stages]
    return units in (["minutes"], ["hours"], ["minutes", "hours"]) and all(p < 0 for _, p, _ in stages)


def _downwards(view: View, stages: list[tuple[str, int, Seen]]) -> list[Assumption]:
    """Why it counts down, if the code does."""
    if not steps_down(view, [s.port.name for _, _, s in stages]):
        return []
    text = "it counts down: the code takes one away and adds none"
    return [Assumption("expect.direction", text, stages[0][2].port.place)]


def _reset_of_stages(
    view: View, stages: list[tuple[str, int, Seen]], ports: dict[str, Any], told: list[Assumption]
) -> tuple[Reset | None, Any]:
    """The reset; where it leaves a prescaler running, none, but a clear of the stages."""
    reset = view.reset
    if reset is None or "clear" in ports or view.module.instances:
        return reset, None
    level = 1 if reset.active == "high" else 0
    guards = [g for g in view.module.guards if g.signal == reset.port and g.level == level]
    put_back = {name for g in guards for name, _ in g.sets}
    shown = {seen.port.name for _, _, seen in stages}
    if not guards or any(g.waited for g in guards) or not shown <= put_back:
        return reset, None
    running = [
        r.name for r in view.module.registers if r.name not in put_back and r.width > 1 and r.reset is None
    ]
    if len(running) != 1:
        return reset, None
    text = (
        f"{reset.port} clears the stages and leaves {running[0]} running: the first second after it is "
        "as long as what was left of the one under way"
    )
    told.append(Assumption("ports.clear", text, guards[0].place))
    return None, port_of(reset.port, low=reset.active == "low")


def _twelve(
    view: View,
    stages: list[tuple[str, int, Seen]],
    twelve: Twelve,
    moduli: list[Any],
    pace: Pace,
    controls: Controls,
    ports: dict[str, Any],
    told: list[Assumption],
    reset: Reset | None,
) -> Proposal:
    """A clock whose hours go to 12; where they may as well go to 23 that is tried."""
    below = [m for (unit, _, _), m in zip(stages, moduli, strict=False) if unit != "hours"]
    packed = any(place >= 0 and seen.width == 8 for _, place, seen in stages)
    bound: dict[str, Any] = {
        **ports,
        "stages": [reference_to(place, s, packed=packed) for _, place, s in stages],
    }
    if twelve.half is not None:
        bound["pm"] = twelve.half.port.name
    names = ", ".join(dict.fromkeys(s.port.name for _, _, s in stages))
    start = [*(0 for _ in below), *twelve.start]
    expect: dict[str, Any] = {
        **pace.expect,
        "modulo": [*below, *twelve.moduli],
        "start": start,
        "twelve_hours": True,
    }
    more, further = stage_axes(view, pace, controls, [*below, HALF_DAY])
    day = Choice("hours from 0 to 23", {"modulo": [*below, 24], "twelve_hours": False})
    own = Choice("hours from 1 to 12", {"modulo": [*below, HALF_DAY], "twelve_hours": True})
    axes = () if twelve.sure or len(twelve.moduli) > 1 else ((own, day),)
    return Proposal(
        module=view.module,
        model="timer",
        ports=bound,
        expect={**expect, **more},
        clock=pace.clock,
        reset=reset,
        assumptions=(
            *view.assumptions,
            *told,
            Assumption("ports.stages", f"stages, fastest first: {names}", stages[0][2].port.place),
            twelve.told,
            *pace.assumptions,
        ),
        axes=(*axes, *further),
        rivals=tuple(pace.rivals),
        questions=(*view.questions, *pace.questions),
        certainty=0.85,
    )


def _day(
    view: View, stages: list[tuple[str, int, Seen]], ports: dict[str, Any], told: tuple[Assumption, ...]
) -> Proposal:
    """A clock of the day in decimal digits that steps with every clock: one counter of all its digits."""
    names = [s.port.name for _, _, s in stages]
    units = list(dict.fromkeys(unit for unit, _, _ in stages))
    below = prod(_MODULI[u] for u in units[:-1])
    radices = [r for u in units for r in ([10, 6] if u in {"seconds", "minutes"} else [10, 10])]
    text = f"digits, fastest first, {' and '.join(units)}: {', '.join(names)}"
    kinds = (24, 100) if stages[-1][2].width > 2 else (24,)
    return Proposal(
        module=view.module,
        model="counter",
        ports={**ports, "digits": names},
        expect={"digit_modulo": radices},
        clock=view.clock,
        reset=view.reset,
        assumptions=(*view.assumptions, *told, Assumption("ports.digits", text, stages[0][2].port.place)),
        axes=(tuple(Choice(f"{kind} hours", {"modulo": kind * below}) for kind in kinds),),
        questions=view.questions,
        certainty=0.8,
    )


def _starts(
    view: View, stages: list[tuple[str, int, Seen]], expect: dict[str, Any], told: list[Assumption]
) -> list[Question]:
    """Where reset puts the stages: a clock may start at 12:00; anything else but zeros is asked."""
    start, other = [], None
    for unit, _, seen in stages:
        found = view.resets_to(seen.port.name)
        start.append(found[0] if found else 0)
        if found and unit == "hours" and found[0] == 12:
            told.append(Assumption("expect.start", "reset puts the hours at 12", found[1]))
        elif found:
            other = (seen.port.name, *found)
    if any(start):
        expect["start"] = start
    if other is None:
        return []
    name, value, place = other
    readings = (
        (f"at {value}", f"expect = {{ start = {start} }}"),
        ("at 0", f"expect = {{ start = {[0] * len(start)} }}"),
    )
    return [
        Question(
            f"where does reset put {name}? The code says {value}, and most timers start at 0", readings, place
        )
    ]


def _take_loads(
    stages: list[tuple[str, int, Seen]], data: list[Seen], ports: dict[str, Any], *, packed: bool
) -> bool:
    """Bind what is loaded; False where it cannot be told. ``packed``: two digits in every port."""
    if not data:
        ports.pop("load", None)
        return True
    values = _load_values(stages, data)
    if values is None or "load" not in ports:
        return False
    loads = {s.port.name: s for s in data}
    ports["load_values"] = (
        [reference_to(place, loads[v], packed=True) for v in values for place in (0, 1)] if packed else values
    )
    return True


def _load_values(stages: list[tuple[str, int, Seen]], data: list[Seen]) -> list[str] | None:
    values = []
    for unit, place, stage in stages:
        fitting = [s for s in data if s.name.means(unit) and s.width == stage.width]
        if place >= 0:
            called = [s for s in fitting if s.name.means(PLACES[place])]
            number = stage.name.index
            fitting = called or [s for s in fitting if number is not None and s.name.index == number]
        if len(fitting) != 1:
            return None
        values.append(fitting[0].port.name)
    return values if len(values) == len(data) else None


def _moduli(
    view: View, stages: list[tuple[str, int, Seen]]
) -> tuple[list[Any], list[tuple[Choice, ...]], list[Choice], str]:
    """States of each stage; None in it when an axis says them."""
    moduli: list[Any] = []
    for unit, place, seen in stages:
        if unit == "hours":
            moduli.append(None)
        elif place < 0:
            moduli.append(_MODULI[unit])
            if seen.width < (_MODULI[unit] - 1).bit_length() and seen.width <= 4:
                return moduli, [], [], f"{seen.port.name} has room for one digit only"
        elif unit in {"tenths", "hundredths"}:
            moduli.append(10)
        else:
            moduli.append((10, 6)[place])
    hours = [(place, seen) for unit, place, seen in stages if unit == "hours"]
    known = [m for m in moduli if m is not None]
    if not hours:
        slowest = stages[-1]
        rivals = []
        if slowest[0] == "minutes" and 1 << slowest[2].width >= (100 if slowest[1] < 0 else 10):
            other = [*known[:-1], 100 if slowest[1] < 0 else 10]
            rivals.append(Choice("the minutes go to 99", {"modulo": other}))
        return moduli, [], rivals, ""
    if len(hours) == 2:
        elapsed = re.search(r"(?i)stop|timer|elapsed|chrono|exposure|99|100", view.name.text)
        if hours[1][1].width > 2 and elapsed:
            return [*known, 10, 10], [], [], ""
        day = Choice("24 hours", {"modulo": [*known, 10, 3], "states": 24 * prod(known)})
        long = Choice("100 hours", {"modulo": [*known, 10, 10]})
        return moduli, [(day,)], [] if hours[1][1].width <= 2 else [long], ""
    width = hours[0][1].width
    kinds = {4: (12,), 5: (24,), 6: (24,)}.get(width, (100, 24))
    if view.name.has("24", "day") or 24 in view.name.numbers:
        kinds = (24,)
    if len(kinds) == 1:
        return [*known, kinds[0]], [], [], ""
    return moduli, [tuple(Choice(f"{kind} hours", {"modulo": [*known, kind]}) for kind in kinds)], [], ""


def _flags(
    view: View, stages: list[tuple[str, int, Seen]], ports: dict[str, Any], told: list[Assumption]
) -> None:
    taken = {s for _, _, s in stages}
    for seen in view.outputs:
        if seen in taken or seen.width != 1:
            continue
        for role in ("tick", "done"):
            if role not in ports and seen.name.means(role):
                ports[role] = seen.port.name
                told.append(Assumption(f"ports.{role}", f"{seen.port.name} is {role}", seen.port.place))
                break
