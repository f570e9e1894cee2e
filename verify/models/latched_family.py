"""Families whose machines may run because a button was pressed.

What is open about the latch is measured: every fact of :data:`verify.models.latch.CHOICES` is left
open until something that was observed depends on it, and only then settled both ways, so that all
combinations are held against the observation at the price of those that it tells apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import prod
from typing import Any, cast

from verify.models.controls import signals_of
from verify.models.family import Candidate, OptionError, RoleSpec, Shape
from verify.models.latch import BUTTONS, CHOICES, Latch
from verify.models.latched import Latched, Machine
from verify.models.latched_fitting import fitting
from verify.models.timer_model import Timer
from verify.signals import ObservedTrace, Stimulus

__all__ = ["BUTTON_ROLES", "has_buttons", "with_buttons"]

BUTTON_ROLES = (
    RoleSpec("start", "input", "a button that makes it run until something stops it", control=True),
    RoleSpec("stop", "input", "a button that stops it until it is started again", control=True),
    RoleSpec("start_stop", "input", "a button that does both in turn", control=True),
)

MOST_SETTLED = 1024
"""Facts that no observation has asked for are settled in every way up to so many; a design that
shows less than that shows too little for any of them to matter."""

USUAL_SHIFT = 1
"""Machines whose first step is so late, or early, are held against an observation before the others."""

Inner = Callable[[Shape], Sequence[Candidate]]


def has_buttons(shape: Shape) -> bool:
    """Whether a latch stands in front."""
    return any(shape.get(name) for name in BUTTONS)


def with_buttons(
    shape: Shape, inner: Inner, reset: bool, observed: tuple[Stimulus, ObservedTrace] | None
) -> tuple[Candidate, ...]:
    """The candidates of ``inner``, asked for a shape with an enable, behind every latch that fits."""
    _refuse(shape, reset)
    buttons = signals_of(shape, BUTTONS, bits=BUTTONS)
    own = signals_of(shape, ("enable",), bits=("enable",))
    behind = {role: widths for role, widths in shape.items() if role not in BUTTONS and widths}
    found = [c for c in inner({**behind, "enable": (1,)}) if not _needless(c.model, shape)]
    others = tuple(s for s in found[0].model.inputs if s.name != "enable")
    watched = tuple(s.name for s in (*buttons, *others) if s.name in {*BUTTONS, "clear"})
    models = [
        Latched((*buttons, *own, *others), cast(Machine, c.model), _latch(watched, shape, c.model))
        for c in found
    ]
    if observed is None:
        usual = [replace(model, latch=model.latch.usual()) for model in models]
        return tuple(_candidate(m, c) for m, c in zip(usual, found, strict=True))
    told: dict[tuple[int, Latch], Candidate] = {}
    likely = tuple(index for index, candidate in enumerate(found) if abs(candidate.shift) <= USUAL_SHIFT)
    fits = fitting(models, *observed, reset=reset, likely=likely)
    for index, latch in fits:
        for settled in _settled(latch):
            if (index, settled) not in told and not _twice(settled, models[index], shape):
                told[index, settled] = _candidate(replace(models[index], latch=settled), found[index])
    return tuple(told.values())


def _refuse(shape: Shape, reset: bool) -> None:
    for one in ("start", "stop"):
        if shape.get("start_stop") and shape.get(one):
            raise OptionError(one, f"{one} and start_stop", "either the one button or the two")
    if shape.get("stop") and not shape.get("start"):
        raise OptionError("stop", "a port", "start bound as well")
    if shape.get("start_stop") and not reset:
        raise OptionError("start_stop", "a design without reset", "a reset, or the two roles start and stop")


def _needless(model: Any, shape: Shape) -> bool:
    """A tick that is late, pause or not, is a latch or an output that is late, where nothing else tells."""
    timer = getattr(model, "timer", model)
    if not isinstance(timer, Timer) or shape.get("clear") or shape.get("load"):
        return False
    return timer.delay > 0 and not (timer.tick or "").startswith("always")


def _twice(latch: Latch, model: Latched, shape: Shape) -> bool:
    """A late tick after a button that acts at once is one in time after a button that does not."""
    timer = getattr(model.inner, "timer", model.inner)
    if not isinstance(timer, Timer) or not timer.delay or (timer.tick or "").startswith("always"):
        return False
    stops = [getattr(latch, f"{c}_stops") == "yes" for c in ("clear", "load") if shape.get(c)]
    return all(stops) and all(getattr(latch, f"{b}_takes") == 0 for b in latch.watched if b != "clear")


def _latch(watched: tuple[str, ...], shape: Shape, model: Any) -> Latch:
    """With everything open that can be; the rest as usual."""
    open_facts = {name for name in CHOICES if name.rpartition("_")[0] in watched}
    open_facts |= {"runs_from_reset", "buttons_in_reset"}
    if "stop" in watched:
        open_facts.add("start_and_stop")
    for control in ("clear", "load"):
        if shape.get(control):
            open_facts |= {f"{control}_stops", f"{control}_while_running"}
    if Latched((), model, Latch(())).timer is not None:
        open_facts.add("end_stops")
    changes: dict[str, Any] = {name: values[0] for name, values in CHOICES.items() if name not in open_facts}
    return replace(Latch(watched), **changes)


def _settled(latch: Latch) -> Iterator[Latch]:
    """The latches that an observation has left, each in one form."""
    open_facts = tuple(name for name in CHOICES if getattr(latch, name) is None)
    if prod(len(CHOICES[name]) for name in open_facts) > MOST_SETTLED:
        yield _plain(latch.usual())
        return
    yield from dict.fromkeys(_plain(settled) for settled in latch.settled(open_facts))


def _plain(latch: Latch) -> Latch:
    """Facts that make no difference beside the others as they mostly are."""
    changes: dict[str, Any] = {}
    for control in ("clear", "load"):
        if getattr(latch, f"{control}_while_running") == "is ignored":
            same = {"unless started": "no", "buttons wait": "yes"}
            stops = getattr(latch, f"{control}_stops")
            changes[f"{control}_stops"] = same.get(stops, stops)
    if not latch.registers():
        changes["buttons_in_reset"] = CHOICES["buttons_in_reset"][0]
        if latch.clear_stops == "as reset" and not latch.runs_from_reset:
            changes["clear_stops"] = "yes"
    elif latch.buttons_in_reset == "edges are reset":
        ways = [(latch.fact(f"{name}_acts"), latch.fact(f"{name}_takes")) for name in latch.watched]
        if all(takes <= 1 for _, takes in ways):
            changes["buttons_in_reset"] = "are reset"
        elif all(acts == "level" for acts, _ in ways):
            changes["buttons_in_reset"] = "are followed"
    return replace(latch, **changes)


def _candidate(model: Latched, behind: Candidate) -> Candidate:
    latch = model.latch
    # a longer way from the button makes up for a shorter latency, unless it runs without being told to
    late = 0 if latch.runs_from_reset else latch.fact(f"{model.starter}_takes") - 1
    return Candidate(model, {**told(latch, model), **behind.measured}, behind.latencies, behind.shift + late)


def told(latch: Latch, model: Latched) -> Mapping[str, Any]:
    """The facts that say something about this design."""
    names = [name for name in CHOICES if name.rpartition("_")[0] in latch.watched]
    if "stop" in latch.watched:
        names.append("start_and_stop")
    names.append("runs_from_reset")
    inputs = {signal.name for signal in model.inputs}
    for control in ("clear", "load"):
        if control in inputs:
            names += [f"{control}_stops", f"{control}_while_running"]
    if latch.registers():
        names.append("buttons_in_reset")
    if model.timer is not None:
        names.append("end_stops")
    return {name: latch.fact(name) for name in dict.fromkeys(names)}
