"""The family of timers: a prescaler of ``ratio`` clocks and a chain of stages.

``first`` counts from reset release, as for a divider: the cycle that ends at the first active edge
with the reset released is cycle 0, and the stages first show a new value in cycle ``first``, the
latency of the check not counted. It is ``ratio`` where the last clock of the period steps the
stages, one more for each register that a tick goes through on its way. What such a register does in
a pause is measured too (``tick_in_pause``): either it freezes with the prescaler, or the tick on
its way still comes.

Clear and load act at the next clock edge, enabled or not; clear beats load, load beats a step.
``clear = "all"`` empties prescaler and ticks on their way as reset does, and so, as a rule, does
load (``prescaler_at_load``, measured: put back, running on, or waiting while the load lasts; with
``clear = "stages"`` there is a ``prescaler_at_clear`` likewise). A stage loaded with a value that it
cannot have leaves everything unpromised until the next reset, clear or proper load. Clear goes to
``start``, or to zeros where the two differ and the design does that (``clear_to``, measured).

``tick`` is high for one clock per step: in the last clock before the stages show it, or in the
first one after (``tick_at``, measured). ``done``, measured as well (``done_is``): high at the end
(``level``: stopped, or in the last state before the wrap), from reaching the end by counting until
the next reset, clear or load (``reached``), for the one clock after getting there or wrapping
(``after``), or in the last clock before the wrap (``at_step``). Whether the prescaler runs on at
the end is measured where it can be seen (``prescaler_at_end``). Nothing is promised of a tick or
done whose step a clear or load replaces.

Named stages that are not bound but lie below one that is are there all the same: a timer with
``minutes`` and ``hours`` counts seconds that nobody sees.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import product, takewhile
from math import prod
from typing import Any

from verify.models.controls import position, signals_of
from verify.models.family import Candidate, Family, OptionError, OptionSpec, RoleSpec, Shape
from verify.models.free_phase import first_change
from verify.models.latched_family import BUTTON_ROLES, has_buttons, with_buttons
from verify.models.option_lists import numbers_in
from verify.models.option_values import OptionValues
from verify.models.timer_chain import Chain
from verify.models.timer_free import free_timers
from verify.models.timer_model import Timer
from verify.models.timer_twelve import TwelveHourFace
from verify.signals import ObservedTrace, Reset, Stimulus

__all__ = ["FAMILY", "TimerFamily"]

NAMED = ("seconds", "minutes", "hours")
NAMED_MODULI = (60, 60, 100)

LATEST_CYCLES = 8
"""A measured ``first`` comes at most so many clocks after the first period."""

CLOSE_CYCLES = (0, 1)
"""Other open facts are tried in all combinations only where the first step is so late."""

LARGEST_RATIO = 1 << 61
LARGEST_MODULO = 1 << 32


class TimerFamily:
    """See the module."""

    name = "timer"
    about = "a prescaler and a chain of counters: seconds, minutes, hours, or stages of any moduli"
    stateful = True
    roles: tuple[RoleSpec, ...] = (
        RoleSpec("stages", "output", "the stages, fastest first", many=True),
        RoleSpec("seconds", "output", "the seconds"),
        RoleSpec("minutes", "output", "the minutes"),
        RoleSpec("hours", "output", "the hours"),
        RoleSpec("enable", "input", "runs while it is high", control=True),
        RoleSpec("clear", "input", "back to the start at the next clock edge", control=True),
        RoleSpec("load", "input", "takes load_values at the next clock edge", control=True),
        RoleSpec("load_values", "input", "the values to load, one per stage output", many=True),
        *BUTTON_ROLES,
        RoleSpec("tick", "output", "high for one clock per step"),
        RoleSpec("done", "output", "the end is reached"),
        RoleSpec("pm", "output", "of a 12-hour clock: high from noon to midnight"),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec("modulo", "numbers", "states of each stage, fastest first; named stages: 60, 60, 100"),
        OptionSpec("states", "number", "of the whole chain, if fewer: 24 hours in decimal digits are 86400"),
        OptionSpec("ratio", "number", "clocks per step of the fastest stage; left out: the clock frequency"),
        OptionSpec("direction", "choice", "which way", ("up", "down"), "up"),
        OptionSpec("start", "numbers", "the stages after reset, fastest first; left out: zeros"),
        OptionSpec("at_end", "choice", "what comes after the last state", ("wrap", "stop"), "wrap"),
        OptionSpec(
            "pause",
            "choice",
            "while not enabled the clocks of the unit are kept (freeze), or run on and ticks are lost (gate)",
            ("freeze", "gate"),
            "freeze",
        ),
        OptionSpec("clear", "choice", "whether clear empties the prescaler too", ("all", "stages"), "all"),
        OptionSpec("first", "number", "clocks from reset release to the first step"),
        OptionSpec(
            "twelve_hours",
            "flag",
            "the slowest stage, or the two slowest in digits, are the hours of a clock: 12, 1, 2 to 11",
            default=False,
        ),
    )

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,
        observed: tuple[Stimulus, ObservedTrace] | None = None,
    ) -> tuple[Candidate, ...]:
        """Every place of the first step, with every meaning of what the bench leaves open."""
        if has_buttons(shape):
            return with_buttons(
                shape, lambda behind: self.candidates(behind, options, reset), reset, observed
            )
        values = OptionValues(self.options, options)
        if values.flag("twelve_hours") or shape.get("pm"):
            face = TwelveHourFace.of(shape, options)
            behind = self.candidates(face.shape, face.options, reset, observed)
            return tuple(replace(c, model=face.over(c.model), measured=face.told(c.measured)) for c in behind)
        base = _timer(shape, values, options)
        meanings = list(_meanings(base))
        if not reset:
            first = values.number("first", low=1, high=base.ratio + LATEST_CYCLES)
            found = free_timers([(model, facts) for model, facts in meanings], observed, first)
            return tuple(replace(c, measured=_without(c.measured, first)) for c in found)
        first = values.number("first", low=1)
        timed = []
        seen = None if observed is None or first is not None else _seen_lateness(base, *observed)
        for timing in _timings(base) if first is None else _pinned_timings(base, first):
            if seen is not None and timing.late > max(seen, 0):
                continue
            place = base.ratio + timing.late
            if first not in {None, place}:
                continue
            for model, facts in meanings if first or timing.late in CLOSE_CYCLES else meanings[:1]:
                measured = {**({} if first == place else {"first": place}), **timing.facts, **facts}
                timed.append(Candidate(timing.apply(model), measured, None, timing.late))
        return tuple(timed)


FAMILY: Family = TimerFamily()


def _without(measured: Mapping[str, Any], first: int | None) -> dict[str, Any]:
    """What is pinned is not measured."""
    return {name: value for name, value in measured.items() if name != "first" or first is None}


@dataclass(frozen=True, slots=True)
class _Timing:
    """How many clocks after the first period the stages step, and what makes them late."""

    late: int
    lead: int = 0
    delay: int = 0
    power_up_phase: int = 0
    facts: Mapping[str, Any] = field(default_factory=dict)

    def apply(self, timer: Timer) -> Timer:
        power_up = (self.power_up_phase, *timer.power_up[1:])
        return replace(timer, lead=self.lead, delay=self.delay, power_up=power_up)


def _timings(base: Timer) -> Iterator[_Timing]:
    paused = position(base.inputs, "enable") >= 0
    lost = "is lost" if base.gated else "waits"
    yield _Timing(0)
    for late in range(1, LATEST_CYCLES + 1):
        yield _Timing(late, lead=late, facts={"tick_in_pause": lost} if paused else {})
        if paused:
            yield _Timing(late, delay=late, facts={"tick_in_pause": "comes"})
        if late == 1 and base.ratio > 1:
            # Only right after reset; a clear or load begins a whole period.
            yield _Timing(-1, power_up_phase=1)


def _pinned_timings(base: Timer, first: int) -> Iterator[_Timing]:
    """Also a first step that no usual design has: half a period for stages on a clock divided down."""
    late = first - base.ratio
    usual = [timing for timing in _timings(base) if timing.late == late]
    if usual:
        yield from usual
    else:
        yield _Timing(late, lead=late) if late > 0 else _Timing(late, power_up_phase=-late)


def _seen_lateness(base: Timer, stimulus: Stimulus, observed: ObservedTrace) -> int | None:
    """Clocks after the first period at which the stages first changed, latency included.

    None when the observation does not begin with a reset and then rests until the stages change.
    """
    resting = tuple(base.resting[signal.name] for signal in base.inputs)
    runs = list(stimulus.runs())
    held = list(takewhile(lambda run: run.reset is Reset.HELD, runs))
    idle = takewhile(lambda run: run.reset is Reset.RELEASED and run.values == resting, runs[len(held) :])
    release = sum(run.cycles for run in held)
    until = release + sum(run.cycles for run in idle)
    changed = first_change(observed, tuple(range(len(base.shown))))
    if not held or changed is None or not release <= changed < until:
        return None
    return changed - release - base.ratio


def _meanings(base: Timer) -> Iterator[tuple[Timer, dict[str, Any]]]:
    """The models for every combination of open facts, the most usual first."""
    for combination in product(*_axes(base)):
        changes: dict[str, Any] = {}
        facts: dict[str, Any] = {}
        for change, fact in combination:
            changes |= change
            facts |= fact
        timer = replace(base, **changes)
        if not timer.chain.stops or not _shows_prescaler(timer):
            yield timer, facts
            continue
        yield replace(timer, stands=True), {**facts, "prescaler_at_end": "stands"}
        yield timer, {**facts, "prescaler_at_end": "runs"}


def _shows_prescaler(timer: Timer) -> bool:
    """Whether it can be seen if the prescaler stands at the end."""
    clears, loads = position(timer.inputs, "clear") >= 0, position(timer.inputs, "load") >= 0
    kept = (clears and timer.at_clear != "back") or (loads and timer.at_load != "back")
    return kept or timer.tick is not None


def _axes(base: Timer) -> Iterator[list[tuple[dict[str, Any], dict[str, Any]]]]:
    """Per open fact its values, each as a change of the model and as it is reported."""
    if position(base.outputs, "tick") >= 0:
        places = ("before", "with", "always_before", "always_with") if base.gated else ("before", "with")
        yield [({"tick": place}, _tick_facts(place, base.gated)) for place in places]
    if position(base.outputs, "done") >= 0:
        kinds = ("level", "reached", "after") if base.chain.stops else ("level", "after", "at_step")
        yield [({"done": kind}, {"done_is": kind}) for kind in kinds]
    if position(base.inputs, "clear") >= 0:
        if any(base.cleared):
            targets = (base.cleared, (0,) * len(base.cleared))
            yield [({"cleared": t}, {"clear_to": [t[i] for i in base.shown]}) for t in targets]
        if base.at_clear != "back":
            yield [({"at_clear": what}, {"prescaler_at_clear": what}) for what in ("runs", "waits")]
    if position(base.inputs, "load") >= 0:
        usual = ("back", "waits", "runs") if base.at_load == "back" else ("runs", "waits", "back")
        yield [({"at_load": what}, {"prescaler_at_load": what}) for what in usual]


def _tick_facts(kind: str, gated: bool) -> dict[str, Any]:
    facts = {"tick_at": "last clock" if kind.endswith("before") else "first clock"}
    return {**facts, "tick_while_paused": kind.startswith("always")} if gated else facts


def _timer(shape: Shape, values: OptionValues, options: Mapping[str, Any]) -> Timer:
    """The most usual timer that the bench allows."""
    roles, shown, moduli = _stages(shape, options)
    inputs = signals_of(
        shape,
        ("enable", "clear", "load", "load_values"),
        many=("load_values",),
        bits=("enable", "clear", "load"),
    )
    outputs = signals_of(shape, (*roles, "tick", "done"), many=("stages",), bits=("tick", "done"))
    for stage, signal in zip(shown, outputs, strict=False):
        if (moduli[stage] - 1) >> signal.width:
            need = f"{(moduli[stage] - 1).bit_length()} bits for {moduli[stage]} states"
            raise OptionError(signal.name, f"a port of {signal.width} bit{'s' * (signal.width != 1)}", need)
    _check_loads(shape, len(shown))
    ratio = values.number("ratio", low=1, high=LARGEST_RATIO)
    if ratio is None:
        raise OptionError("ratio", "nothing", "clocks per step, or a frequency of the clock")
    start = _start(options, shown, moduli)
    chain = Chain(
        moduli,
        down=values.choice("direction") == "down",
        stops=values.choice("at_end") == "stop",
        cut=values.number("states", low=2, high=prod(moduli)) or 0,
    )
    if chain.cut and not chain.within(start):
        raise OptionError("start", str(list(start)), f"one of the first {chain.states} states")
    return Timer(
        inputs,
        outputs,
        ratio,
        chain,
        shown,
        start,
        gated=values.choice("pause") == "gate",
        at_clear="back" if values.choice("clear") == "all" else "runs",
        at_load="back" if values.choice("clear") == "all" else "runs",
        power_up=(0, 0, 0, 0, 0, 0, *start),
    )


def _stages(
    shape: Shape, options: Mapping[str, Any]
) -> tuple[tuple[str, ...], tuple[int, ...], tuple[int, ...]]:
    """The bound roles, which stages of the chain they show, and the moduli of the whole chain."""
    named = tuple(role for role in NAMED if role in shape)
    if "stages" in shape:
        if named:
            raise OptionError(named[0], f"{named[0]} and stages", "either the list or the names")
        count = len(shape["stages"])
        moduli = numbers_in(options, "modulo", low=2, high=LARGEST_MODULO, count=count)
        if moduli is None:
            raise OptionError("modulo", "nothing", "states of each stage, fastest first, such as [60, 60]")
        return ("stages",), tuple(range(count)), moduli
    if not named:
        raise OptionError("stages", "no stage", "stages, or some of seconds, minutes and hours")
    shown = tuple(NAMED.index(role) for role in named)
    given = numbers_in(options, "modulo", low=2, high=LARGEST_MODULO)
    return named, shown, _whole_chain("modulo", given, shown, NAMED_MODULI)


def _whole_chain(
    key: str, given: tuple[int, ...] | None, shown: tuple[int, ...], usual: tuple[int, ...]
) -> tuple[int, ...]:
    """One number per stage: given for all of them, or for the stages that are shown."""
    length = shown[-1] + 1
    if given is None:
        return usual[:length]
    if len(given) == length:
        return given
    if len(given) == len(shown):
        by_stage = dict(zip(shown, given, strict=True))
        return tuple(by_stage.get(i, usual[i]) for i in range(length))
    raise OptionError(key, f"{len(given)} numbers", f"{len(shown)}, one per stage, fastest first")


def _start(options: Mapping[str, Any], shown: tuple[int, ...], moduli: tuple[int, ...]) -> tuple[int, ...]:
    given = numbers_in(options, "start", low=0)
    start = _whole_chain("start", given, shown, (0,) * len(moduli))
    for value, modulo in zip(start, moduli, strict=True):
        if value >= modulo:
            raise OptionError("start", str(value), f"less than {modulo}, the states of that stage")
    return start


def _check_loads(shape: Shape, stages: int) -> None:
    for one, other in (("load", "load_values"), ("load_values", "load")):
        if one in shape and other not in shape:
            raise OptionError(one, "a port", f"{other} bound as well")
    count = len(shape.get("load_values", ()))
    if count not in {0, stages}:
        raise OptionError("load_values", f"{count} ports", f"{stages}, one per stage, fastest first")
