"""The golden model of a counter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import gcd
from typing import Any, Literal

import numpy as np

from verify.models.controls import control, position, resting_values
from verify.models.counter_face import Face
from verify.models.golden import Leap, State, Values, select
from verify.models.walking import walk
from verify.signals import Column, Signal, column, full

__all__ = ["Carry", "Counter"]

Carry = Literal["last_state", "last_state_and_enable", "after_wrap"]

UNPROMISED = 2
"""A carry register that a clear or load at the moment of the wrap has made uncertain."""

EXACT = 1 << 62
"""Below this, sums in int64 are exact."""


@dataclass(frozen=True, slots=True)
class Counter:
    """Counts modulo ``modulo`` in steps of ``step``.

    State: number (0 to ``modulo`` - 1), carry register, and 1 while the number is known: it is not
    after a value has been loaded that stands for no number. ``upward`` None: as the input ``up``
    says. ``cleared``: the number after a clear. ``priority``: of clear, load and enable, strongest
    first. ``load_face``: how ``load_value`` spells a number.
    """

    inputs: tuple[Signal, ...]
    outputs: tuple[Signal, ...]
    modulo: int
    face: Face
    step: int = 1
    upward: bool | None = True
    cleared: int = 0
    carry: Carry | None = None
    priority: tuple[str, ...] = ("clear", "load", "enable")
    load_face: Face | None = None
    power_up: State = (0, 0, 1)
    _at: Mapping[str, int] = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self) -> None:
        names = ("enable", "clear", "load", "load_value", "up")
        object.__setattr__(self, "_at", {name: position(self.inputs, name) for name in names})

    def initial(self) -> State:
        """The start."""
        return self.power_up

    def _control(self, inputs: Values, name: str) -> Any:
        return control(inputs, self._at[name], 1 if name in {"enable", "up"} else 0)

    def _up(self, inputs: Values) -> Any:
        return int(self.upward) if self.upward is not None else self._control(inputs, "up")

    def _wraps(self, number: Any, up: Any) -> Any:
        """Whether the next step passes the end: the last state of a counter that counts by one."""
        return select(up, number >= self.modulo - self.step, number < self.step)

    def _stepped(self, number: Any, up: Any) -> Any:
        wraps = self._wraps(number, up)
        above = select(wraps, number + self.step - self.modulo, number + self.step)
        below = select(wraps, number + self.modulo - self.step, number - self.step)
        return select(up, above, below)

    def out(self, state: State, inputs: Values) -> Values:
        """The number, and the carry."""
        number, wrapped, _ = state
        words = self.face.words(number)
        if self.carry is None:
            return words
        if self.carry == "after_wrap":
            return (*words, select(wrapped == 1, 1, 0))
        high = self._wraps(number, self._up(inputs))
        if self.carry == "last_state_and_enable":
            high = high & self._control(inputs, "enable")
        return (*words, select(high, 1, 0))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Nothing of an unknown number; not a carry while a clear or load takes the place of the step."""
        if self._at["clear"] < 0 and self._at["load"] < 0:
            return None
        number, wrapped, known = state
        lost: Any = 0
        if self.carry == "after_wrap":
            lost = wrapped == UNPROMISED
        elif self.carry == "last_state_and_enable":
            taken = self._control(inputs, "clear") | self._control(inputs, "load")
            lost = taken & self._control(inputs, "enable") & self._wraps(number, self._up(inputs))
        masks = [signal.mask for signal in self.outputs]
        if self.carry is not None:
            masks[-1] = select(lost, 0, 1)
        return tuple(select(known == 1, mask, 0) for mask in masks)

    def next(self, state: State, inputs: Values) -> State:
        """Step, unless a stronger control has its way."""
        number, _, known = state
        enable, up = self._control(inputs, "enable"), self._up(inputs)
        wraps = self._wraps(number, up)
        result: State = (self._stepped(number, up), select(wraps, 1, 0), known)
        doubtful = enable & (wraps | (known == 0))
        carried = select(doubtful, UNPROMISED, 0)
        for name in reversed(self.priority):
            if name == "enable":
                result = _either(enable, result, (number, 0, known))
            elif name == "clear":
                result = _either(self._control(inputs, name), (self.cleared, carried, 1), result)
            elif self._at["load_value"] >= 0:
                loaded, legal = self._loaded(inputs[self._at["load_value"]])
                result = _either(
                    self._control(inputs, name), (select(legal, loaded, 0), carried, legal), result
                )
        return result if self.carry == "after_wrap" else (result[0], 0, result[2])

    def _loaded(self, word: Any) -> tuple[Any, Any]:
        """The number that a word stands for, and 1 when it stands for one."""
        number, legal = (self.load_face or self.face).read(word)
        return number, select(legal & (number < self.modulo), 1, 0)

    def _steps(self, inputs: Values) -> bool:
        """Whether no control has its way over the step."""
        return bool(
            self._control(inputs, "enable")
            and not self._control(inputs, "clear")
            and not self._control(inputs, "load")
        )

    def quiet(self, state: State, inputs: Values) -> int:  # noqa: ARG002 -- the contract's signature
        """A counter that counts is never quiet."""
        return 0

    def skip(self, state: State, inputs: Values, cycles: int) -> State:  # noqa: ARG002
        """Not called."""
        return state

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """Walked while nothing is counted, else one row per cycle in one piece."""
        if cycles == 1 or not self._steps(inputs):
            return walk(self, state, inputs, cycles)
        number, wrapped, known = state
        up = bool(self._up(inputs))
        exact = self.modulo + self.step * cycles < EXACT
        clocks: Any = np.arange(cycles + 1, dtype=np.int64 if exact else object)
        moved = clocks * self.step
        numbers = (number + moved if up else number - moved) % self.modulo
        shown, after = numbers[:-1], int(numbers[-1])
        ends = shown >= self.modulo - self.step if up else shown < self.step
        columns = list(self.face.columns(shown))
        carries = np.asarray(ends, dtype=np.int64)
        state_after: State = (after, 0, known)
        if self.carry == "after_wrap":
            state_after = (after, int(carries[-1]), known)
            carries = np.concatenate([[int(wrapped == 1)], carries[:-1]])
        if self.carry is not None:
            columns.append(column(carries, 1))
        return Leap(
            state_after, np.arange(cycles), tuple(columns), self._care_columns(wrapped, known, cycles)
        )

    def _care_columns(self, wrapped: int, known: int, cycles: int) -> tuple[Column | None, ...] | None:
        if not known:
            return tuple(full(cycles, 0, signal.width) for signal in self.outputs)
        if wrapped == UNPROMISED:
            lost = np.ones(cycles, np.int64)
            lost[0] = 0
            return (*(None for _ in self.outputs[:-1]), lost)
        return None

    @property
    def limits(self) -> Mapping[str, int]:
        """A proper number to load."""
        at = self._at["load_value"]
        if at < 0:
            return {}
        low, high = 0, self.modulo - 1
        while low < high:
            middle = (low + high + 1) // 2
            fits = self.encode("load_value", middle) <= self.inputs[at].mask
            low, high = (middle, high) if fits else (low, middle - 1)
        return {"load_value": low}

    @property
    def resting(self) -> Mapping[str, int]:
        """Counting, upwards where there is a choice."""
        return resting_values(self.inputs)

    def encode(self, name: str, number: int) -> int:
        """A number to load as ``load_value`` spells it."""
        if name != "load_value":
            return number
        return int((self.load_face or self.face).words(number)[0])

    @property
    def full_cycle(self) -> int:
        """Clocks until the start comes round again."""
        return self.modulo // gcd(self.step, self.modulo)

    def landmarks(self) -> tuple[int, ...]:
        """Before the first carry out of every digit (of every bit, in binary) and before the wraps."""
        weights = [self.modulo, 2 * self.modulo]
        weight = 1
        while weight < self.modulo and len(weights) < 100:
            weights.append(weight)
            digit = len(weights) - 3
            weight *= self.face.radices[digit] if digit < len(self.face.radices) else 2
        start = self.power_up[0]
        marks = set()
        for w in weights:
            if self.upward is False:
                marks.add((start % w if w < self.modulo else start + w - self.modulo) // self.step)
            else:
                marks.add(-((start % w - w if w < self.modulo else start - w) // self.step) - 1)
        return tuple(sorted(mark for mark in marks if mark >= 0))


def _either(condition: Any, then: State, otherwise: State) -> State:
    return tuple(select(condition, a, b) for a, b in zip(then, otherwise, strict=True))
