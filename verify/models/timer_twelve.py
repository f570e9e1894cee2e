"""The face of a 12-hour clock: its hours are 12, 1, 2 … 11, and half of the day may have a line.

Behind it is a timer whose hours count from 0, so that the day turns, and noon comes, when 11 becomes
12, and the 1 that comes after 12 is nothing special.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from verify.models.family import OptionError, Shape
from verify.models.golden import GoldenModel, Leap, State, Values, select
from verify.models.option_lists import numbers_in
from verify.models.timer_behind import TimerBehind
from verify.models.timer_model import Timer
from verify.signals import Column, ExpectedTrace, Signal, column

__all__ = ["HALF_DAY", "TwelveHourFace", "TwelveHours"]

HALF_DAY = 12


@dataclass(frozen=True, slots=True)
class TwelveHours(TimerBehind):
    """``timer``: its last stage is the hours, 12 or 24 of them, from 0.

    ``places``: per port the stage and, for a decimal digit of it, the place (0: ones); -1: the whole
    number. ``ports``: their signals. ``half``: the line that is high from noon on, None where there
    is none.
    """

    timer: Timer
    ports: tuple[Signal, ...]
    places: tuple[tuple[int, int], ...]
    half: Signal | None = None

    @property
    def stages(self) -> int:
        """How many stages the timer has."""
        return len(self.timer.chain.moduli)

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """The stages, the timer's flags, then the line for the half of the day."""
        half = () if self.half is None else (self.half,)
        return (*self.ports, *self.timer.outputs[self.stages :], *half)

    @property
    def inner(self) -> Timer:
        """See :class:`verify.models.golden.Dressing`."""
        return self.timer

    @property
    def full_cycle(self) -> int:
        """As of the timer."""
        return self.timer.full_cycle

    def landmarks(self) -> tuple[int, ...]:
        """As of the timer."""
        return self.timer.landmarks()

    def initial(self) -> State:
        """As of the timer."""
        return self.timer.initial()

    def out(self, state: State, inputs: Values) -> Values:
        """What the timer shows, its hours from 1 to 12."""
        return tuple(self._shown(self.timer.out(state, inputs)))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """A port is promised when its stage is."""
        masks = self.timer.cares(state, inputs)
        return None if masks is None else tuple(self._masks([select(m != 0, 1, 0) for m in masks]))

    def next(self, state: State, inputs: Values) -> State:
        """As of the timer."""
        return self.timer.next(state, inputs)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The timer's, its columns looked at."""
        leap = self.timer.leap(state, inputs, cycles)
        columns, cares = self._columns(leap.columns, leap.cares)
        return Leap(leap.state, leap.offsets, columns, cares)

    def dressed(self, trace: ExpectedTrace) -> ExpectedTrace:
        """The trace of the timer, its columns looked at."""
        columns, cares = self._columns(trace.values, trace.cares)
        return ExpectedTrace(self.outputs, trace.length, trace.cycles, columns, cares)

    def _shown(self, values: Sequence[Any]) -> list[Any]:
        hours = values[self.stages - 1]
        numbers = [*values[: self.stages - 1], (hours + HALF_DAY - 1) % HALF_DAY + 1]
        found = [_digit(numbers[stage], place) for stage, place in self.places]
        half = [] if self.half is None else [hours // HALF_DAY]
        return [*found, *values[self.stages :], *half]

    def _masks(self, known: Sequence[Any]) -> list[Any]:
        """``known``: 1 per output of the timer that is promised."""
        found = [known[stage] * port.mask for (stage, _), port in zip(self.places, self.ports, strict=True)]
        half = [] if self.half is None else [known[self.stages - 1]]
        return [*found, *known[self.stages :], *half]

    def _columns(
        self, values: Sequence[Column], cares: tuple[Column | None, ...] | None
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        shown = self._shown(values)
        columns = tuple(column(v, s.width) for v, s in zip(shown, self.outputs, strict=True))
        if cares is None:
            return columns, None
        rows = len(values[0])
        ones = np.ones(rows, np.int64)
        known = [ones if c is None else np.asarray(c != 0, dtype=np.int64) for c in cares]
        masks = [np.broadcast_to(mask, rows) for mask in self._masks(known)]
        return columns, tuple(column(m, s.width) for m, s in zip(masks, self.outputs, strict=True))


def _digit(number: Any, place: int) -> Any:
    return number if place < 0 else number // 10 if place else number % 10


@dataclass(frozen=True, slots=True)
class TwelveHourFace:
    """What a bench says of a 12-hour clock, and the timer behind it: ``shape`` and ``options``."""

    shape: Shape
    options: Mapping[str, Any]
    ports: tuple[Signal, ...]
    places: tuple[tuple[int, int], ...]
    half: Signal | None

    @classmethod
    def of(cls, shape: Shape, options: Mapping[str, Any]) -> TwelveHourFace:
        """Raises :class:`OptionError` for roles and options that no such clock has."""
        _refuse(shape, options)
        ports = _ports(shape)
        moduli, start = _as_shown(options, ports)
        in_digits = moduli[-2:] == HOUR_DIGITS
        behind, begins = _behind(moduli, start)
        half = Signal("pm", 1) if shape.get("pm") else None
        if half is not None:
            behind = (*behind[:-1], 2 * HALF_DAY)
        last = len(behind) - 1
        hours = ((last, 0), (last, 1)) if in_digits else ((last, -1),)
        needs = [(modulo - 1).bit_length() for modulo in behind[:-1]] + ([4, 1] if in_digits else [4])
        for port, need in zip(ports, needs, strict=True):
            if port.width < need:
                raise OptionError(port.name, f"a port of {port.width} bits", f"at least {need}")
        others = {r: w for r, w in shape.items() if r not in {"stages", *NAMED, "pm"} and w}
        widths = tuple((modulo - 1).bit_length() for modulo in behind)
        return cls(
            {"stages": widths, **others},
            {
                **{k: v for k, v in options.items() if k != "twelve_hours"},
                "modulo": list(behind),
                "start": list(begins),
            },
            ports,
            (*((i, -1) for i in range(last)), *hours),
            half,
        )

    def over(self, timer: GoldenModel) -> TwelveHours:
        """The clock with that timer behind it."""
        return TwelveHours(cast(Timer, timer), self.ports, self.places, self.half)

    def told(self, measured: Mapping[str, Any]) -> Mapping[str, Any]:
        """Facts about the timer, in the numbers that the clock shows."""
        if "clear_to" not in measured:
            return measured
        stages = list(measured["clear_to"])
        stages[-1] = (stages[-1] + HALF_DAY - 1) % HALF_DAY + 1
        return {**measured, "clear_to": [_digit(stages[stage], place) for stage, place in self.places]}


NAMED = ("seconds", "minutes", "hours")
HOUR_DIGITS = (10, 2)


def _refuse(shape: Shape, options: Mapping[str, Any]) -> None:
    if not options.get("twelve_hours"):
        raise OptionError("pm", "a port", "twelve_hours = true beside it")
    for role in ("load", "load_values"):
        if shape.get(role):
            raise OptionError(role, "a port beside twelve_hours", "none: this model has no load")
    if options.get("states") is not None:
        raise OptionError("states", str(options["states"]), "nothing beside twelve_hours")


def _as_shown(
    options: Mapping[str, Any], ports: tuple[Signal, ...]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """States of each stage, and where they begin: at 12."""
    usual = (60, 60, HALF_DAY) if len(ports) == len(NAMED) else None
    moduli = numbers_in(options, "modulo", low=2, count=len(ports)) or usual
    if moduli is None:
        raise OptionError("modulo", "nothing", "states of each stage, fastest first: [60, 60, 12]")
    start = numbers_in(options, "start", low=0, count=len(ports))
    if start is not None:
        return moduli, start
    twelve = (2, 1) if moduli[-2:] == HOUR_DIGITS else (HALF_DAY,)
    return moduli, (*(0 for _ in ports[len(twelve) :]), *twelve)


def _ports(shape: Shape) -> tuple[Signal, ...]:
    if shape.get("stages"):
        return tuple(Signal(f"stages[{i}]", width) for i, width in enumerate(shape["stages"]))
    bound = [role for role in NAMED if shape.get(role)]
    if len(bound) != len(NAMED):
        raise OptionError("twelve_hours", f"with {' and '.join(bound) or 'no stage'}", "stages, or all three")
    return tuple(Signal(role, shape[role][0]) for role in NAMED)


def _behind(moduli: tuple[int, ...], start: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Moduli and start of the timer behind the stages."""
    if moduli[-1] == HALF_DAY:
        return moduli, (*start[:-1], _since_twelve(start[-1]))
    if moduli[-2:] == HOUR_DIGITS:
        hours = start[-2] + 10 * start[-1]
        return (*moduli[:-2], HALF_DAY), (*start[:-2], _since_twelve(hours))
    found = f"a slowest stage of {moduli[-1]}"
    raise OptionError("twelve_hours", found, "12 hours in the slowest stage, or digits of 10 and 2 states")


def _since_twelve(hours: int) -> int:
    if not 1 <= hours <= HALF_DAY:
        raise OptionError("start", f"{hours} hours", "1 to 12, as a 12-hour clock shows them")
    return hours % HALF_DAY
