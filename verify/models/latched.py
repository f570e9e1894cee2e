"""Machines that run because a button was pressed: a latch in front of the enable of another model.

State: the latch, the past of every button (see :mod:`.latch`), then the state of the machine behind.
At rest no button is pressed; ``opening`` is what makes it run after reset.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

from verify.models.controls import position
from verify.models.golden import SETTLING_CYCLES, GoldenModel, Guided, Leap, State, Values
from verify.models.latch import Front, Latch
from verify.models.timer_model import Timer
from verify.models.walking import joined
from verify.signals import Signal

__all__ = ["Latched", "Machine"]

Gesture = tuple[tuple[int, Mapping[str, int]], ...]
"""Clocks and the inputs off rest in them, one after the other."""

STAGES = 6
"""Where in the state of a timer its stages begin."""


class Machine(GoldenModel, Guided, Protocol):
    """A model with state that says when something is about to happen."""


@dataclass(frozen=True)
class Latched:
    """``inner`` counts only while it is enabled; ``inputs``: the buttons, then the inner ones.

    ``enable`` stays among them only if it is a port of its own: then both must be high.
    """

    inputs: tuple[Signal, ...]
    inner: Machine
    latch: Latch
    _watched: tuple[int, ...] = field(init=False, repr=False, compare=False, default=())

    def __post_init__(self) -> None:
        places = tuple(position(self.inputs, name) for name in self.latch.watched)
        object.__setattr__(self, "_watched", places)

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """Those of the machine behind."""
        return self.inner.outputs

    @cached_property
    def timer(self) -> Timer | None:
        """The timer behind, if it comes to an end."""
        timer = getattr(self.inner, "timer", self.inner)
        return timer if isinstance(timer, Timer) and timer.chain.stops else None

    @cached_property
    def _sources(self) -> tuple[tuple[str, int], ...]:
        """Per inner input its name, and its place among the inputs (-1: there is none)."""
        return tuple((signal.name, position(self.inputs, signal.name)) for signal in self.inner.inputs)

    @cached_property
    def _load(self) -> int:
        return position(self.inputs, "load")

    # --- state -------------------------------------------------------------------------------

    def _parts(self, state: State) -> tuple[int, tuple[int, ...], State]:
        until = 1 + len(self._watched)
        return state[0], state[1:until], state[until:]

    def _pins(self, inputs: Values) -> tuple[int, ...]:
        return tuple(inputs[at] for at in self._watched)

    def initial(self) -> State:
        """As after reset, no button having been pressed."""
        latch = int(self.latch.fact("runs_from_reset"))
        return (latch, *(0 for _ in self._watched), *self.inner.initial())

    def after_reset(self, state: State) -> State:
        """Registers of buttons may be without reset."""
        _, history, inner = self._parts(state)
        latch, kept = self.latch.reset(history)
        keeps = getattr(self.inner, "after_reset", None)
        return (latch, *kept, *(self.inner.initial() if keeps is None else keeps(inner)))

    def after_held(self, state: State, inputs: Values) -> State:
        """Such registers follow their buttons meanwhile."""
        latch, history, inner = self._parts(state)
        runs = getattr(self.inner, "after_held", None)
        if runs is not None:
            inner = runs(inner, self._front(state, inputs)[1])
        return (latch, *self.latch.held(history, self._pins(inputs)), *inner)

    def _front(self, state: State, inputs: Values) -> tuple[Front, Values, State]:
        """What the buttons do, the inputs of the machine behind, and its state."""
        latch, history, inner = self._parts(state)
        load = inputs[self._load] if self._load >= 0 else 0
        front = self.latch.front(latch, history, self._pins(inputs), load)
        taken = {"enable": front.gate, "clear": front.clear, "load": front.load}
        values = []
        for name, at in self._sources:
            value = taken.get(name, inputs[at] if at >= 0 else 0)
            values.append(value & inputs[at] if name == "enable" and at >= 0 else value)
        return front, tuple(values), inner

    # --- one cycle ---------------------------------------------------------------------------

    def out(self, state: State, inputs: Values) -> Values:
        """As of the machine behind."""
        _, values, inner = self._front(state, inputs)
        return self.inner.out(inner, values)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As of the machine behind."""
        _, values, inner = self._front(state, inputs)
        return self.inner.cares(inner, values)

    def next(self, state: State, inputs: Values) -> State:
        """The latch follows the buttons, the machine behind is enabled by it."""
        front, values, inner = self._front(state, inputs)
        following = self.inner.next(inner, values)
        return (self._latched(front, inner, following), *front.history, *following)

    def _latched(self, front: Front, inner: State, following: State) -> int:
        """The latch after a clock; the end may clear it."""
        if not front.latch or front.kept or self.timer is None:
            return front.latch
        ended, ends = self._ended(inner), self._ended(following)
        if not ended and not ends:
            return 1
        how = self.latch.fact("end_stops")
        if how == "with the last step":
            return int(ended or not ends)
        return int(not ended or how == "no" or (how == "unless started" and front.started))

    def _ended(self, inner: State) -> bool:
        return self.timer is not None and bool(self.timer.chain.at_end(inner[STAGES:]))

    # --- many cycles -------------------------------------------------------------------------

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """Step by step until latch and buttons are steady, then as the machine behind leaps."""
        pieces: list[tuple[int, Leap]] = []
        at = 0
        while at < cycles:
            front, values, inner = self._front(state, inputs)
            left = cycles - at
            if (front.latch, front.history) == (state[0], self._parts(state)[1]):
                left = self._uneventful(front, values, inner, left)
            else:
                left = 1
            leap = self.inner.leap(inner, values, left)
            last = self._latched(front, inner, leap.state) if left == 1 else front.latch
            state = (last, *front.history, *leap.state)
            pieces.append((at, leap))
            at += left
        leap = joined(self.outputs, pieces)
        return Leap(state, leap.offsets, leap.columns, leap.cares)

    def _uneventful(self, front: Front, values: Values, inner: State, cycles: int) -> int:
        """For how many of the coming clocks, at least one, the end does not touch the latch."""
        if not front.latch or self.timer is None or cycles == 1 or self.latch.end_stops == "no":
            return cycles
        if self._ended(inner):
            steady = self._latched(front, inner, inner) and not front.clear and not front.load
            return cycles if steady else 1
        if not self._ended(self.inner.leap(inner, values, cycles).state):
            return cycles
        low, high = 0, cycles  # not ended after low, ended after high
        while high - low > 1:
            middle = (low + high) // 2
            ended = self._ended(self.inner.leap(inner, values, middle).state)
            low, high = (low, middle) if ended else (middle, high)
        return max(low, 1)

    # --- how it is driven --------------------------------------------------------------------

    @property
    def limits(self) -> Mapping[str, int]:
        """Those of the machine behind."""
        return self.inner.limits

    @property
    def resting(self) -> Mapping[str, int]:
        """No button is pressed."""
        behind = self.inner.resting
        return {s.name: 0 if s.name in self.latch.watched else behind[s.name] for s in self.inputs}

    def encode(self, name: str, number: int) -> int:
        """As the machine behind does."""
        return self.inner.encode(name, number)

    @property
    def starter(self) -> str:
        """The button that makes it run."""
        return "start_stop" if "start_stop" in self.latch.watched else "start"

    @property
    def opening(self) -> Mapping[str, int]:
        """What makes it run: pressed for one clock."""
        return {} if self.latch.runs_from_reset else {self.starter: 1}

    @property
    def pauses(self) -> tuple[str, ...]:
        """The buttons that make a pause."""
        return tuple(name for name in self.latch.watched if name in {"stop", "start_stop"})

    def _stopped_by(self, control: str) -> bool:
        """Whether a clear or load leaves a machine that ran standing."""
        if self.latch.fact(f"{control}_while_running") == "is ignored":
            return False
        stops = self.latch.fact(f"{control}_stops")
        return stops in {"yes", "unless started"} or (
            stops == "as reset" and not self.latch.fact("runs_from_reset")
        )

    def counted_cycles(self, name: str) -> int:
        """Those until it stops, less those in which it runs on before the pause is over."""
        if name == "stop":
            takes: tuple[int, int] = self.latch.fact("stop_takes"), self.latch.fact("start_takes")
            return 1 + takes[0] - takes[1]
        return 2 if name == "start_stop" else 0

    def ahead_cycles(self, name: str) -> int:
        """A button has to be pressed as much earlier as there are registers before the latch."""
        return max(getattr(self.latch, f"{name}_takes", None) or 1, 1) - 1

    @property
    def _late(self) -> int:
        """Clocks after the opening until it counts, less the one that the opening takes."""
        return self.latch.fact(f"{self.starter}_takes") - 1 if self.opening else -SETTLING_CYCLES

    @property
    def full_cycle(self) -> int:
        """As of the machine behind, and the way from the button."""
        return max(self.inner.full_cycle + self._late, 1)

    def landmarks(self) -> tuple[int, ...]:
        """As of the machine behind, counted from the end of the opening."""
        return tuple(mark + self._late for mark in self.inner.landmarks() if mark + self._late >= 0)

    def gestures(self, name: str, cycles: int) -> Mapping[str, Gesture]:
        """See :class:`verify.models.golden.Operated`; clear and load also while it is stopped."""
        press: Mapping[str, int] = {self.starter: 1}
        if name == "start_stop":
            held = cycles if self.latch.start_stop_acts == "edge" else 1
            return {name: ((held, press), (cycles, {}), (1, press), (1, {}))}
        if name == "stop":
            late = self.ahead_cycles("stop") - self.ahead_cycles("start")
            wait: Gesture = ((late, {}),) if late > 0 else ()
            return {name: ((cycles, {name: 1}), *wait, (1, press))}
        own: Gesture = ((cycles, {name: 1 - self.resting[name]}),)
        if name not in {"clear", "load"}:
            return {name: own}
        again: Gesture = ((SETTLING_CYCLES, {}), (1, press)) if self._stopped_by(name) else ()
        found = {name: own + again}
        if self.pauses:
            stop: Gesture = ((1, {self.pauses[0]: 1}), (SETTLING_CYCLES, {}))
            runs = name == "clear" and self.latch.clear_stops == "as reset" and self.latch.runs_from_reset
            go: Gesture = ((SETTLING_CYCLES, {}),) if runs else ((SETTLING_CYCLES, {}), (1, press))
            found[f"{name} while stopped"] = stop + own + go
        return found
