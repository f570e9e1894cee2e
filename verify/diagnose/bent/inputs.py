"""The same machine with something changed on the way in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np

from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.kinds import follows, is_placed, is_table
from verify.models.golden import (
    CombinationalModel,
    Drivable,
    FollowingModel,
    GoldenModel,
    Leap,
    State,
    Values,
)
from verify.signals import Column, ObservedTrace, Signal, Stimulus

__all__ = ["InputChange", "InputsChanged", "LateInputs", "inputs_changed", "inputs_late", "joined_leaps"]


@dataclass(frozen=True, slots=True)
class InputChange:
    """What reaches the model in place of input ``index``: what is driven on ``source``, or itself.

    ``constant``: this, whatever is driven. Else the bits ``bits`` (least significant first; None:
    as driven; an entry None: 0), inverted by ``invert``, then with the level of input ``gate`` (by
    ``gate_invert`` inverted): ``and`` or ``or``.
    """

    index: int
    constant: int | None = None
    bits: tuple[int | None, ...] | None = None
    invert: int = 0
    ones: int = 0
    gate: int = -1
    gate_invert: bool = False
    gate_with: str = "and"
    source: int | None = None

    def apply(self, inputs: tuple[Any, ...]) -> Any:
        """The value, or the column of values."""
        value = inputs[self.index if self.source is None else self.source]
        if self.constant is not None:
            return value * 0 + self.constant
        if self.bits is not None:
            driven, value = value, value * 0
            for place, bit in enumerate(self.bits):
                if bit is not None:
                    value = value | (driven >> bit & 1) << place
        value = (value ^ self.invert) | self.ones
        if self.gate >= 0:
            gate = inputs[self.gate] ^ int(self.gate_invert)
            value = value & gate if self.gate_with == "and" else value | gate
        return value


@dataclass(frozen=True, slots=True)
class InputsChanged(Wrapper):
    """The model inside, fed with changed inputs."""

    changes: tuple[InputChange, ...] = ()

    def changed(self, inputs: tuple[Any, ...]) -> tuple[Any, ...]:
        """What reaches the model inside."""
        values = list(inputs)
        for change in self.changes:
            values[change.index] = change.apply(inputs)
        return tuple(values)

    def out(self, state: State, inputs: Values) -> Values:
        """Of the changed inputs."""
        return self.inner.out(state, self.changed(inputs))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Of the changed inputs."""
        return self.inner.cares(state, self.changed(inputs))

    def next(self, state: State, inputs: Values) -> State:
        """Of the changed inputs."""
        return self.inner.next(state, self.changed(inputs))

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """Of the changed inputs."""
        return self.inner.leap(state, self.changed(inputs), cycles)


@dataclass(frozen=True, slots=True)
class _TableChanged(InputsChanged):
    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """The table inside, over the changed inputs."""
        inside = cast("CombinationalModel", self.inner)
        return inside.table(self.changed(columns))


@dataclass(frozen=True, slots=True)
class _FollowingChanged(InputsChanged):
    def follow(self, stimulus: Stimulus, observed: ObservedTrace) -> GoldenModel:
        """The model inside goes by the observation."""
        inside = cast("FollowingModel", self.inner)
        return replace(self, inner=inside.follow(stimulus, observed))

    def placed(self, state: State, cycle: int) -> State:
        """As inside."""
        return self.inner.placed(state, cycle) if is_placed(self.inner) else state


def inputs_changed(model: GoldenModel, *changes: InputChange) -> GoldenModel:
    """``model`` with its inputs changed on the way in."""
    if is_table(model):
        return _TableChanged(model, changes)
    if follows(model):
        return _FollowingChanged(model, changes)
    return InputsChanged(model, changes)


@dataclass(frozen=True, slots=True)
class LateInputs(Wrapper):
    """Some inputs pass a register first.

    State: that of the model inside, then one value per late input. ``resets``: what a reset puts
    into the registers, None: it leaves them alone (they take what is driven meanwhile).
    """

    late: tuple[int, ...] = ()
    resets: tuple[int, ...] = ()

    def _split(self, state: State) -> tuple[State, State]:
        cut = len(state) - len(self.late)
        return state[:cut], state[cut:]

    def _seen(self, held: State, inputs: Values) -> Values:
        values = list(inputs)
        for index, value in zip(self.late, held, strict=True):
            values[index] = value
        return tuple(values)

    def initial(self) -> State:
        """The registers hold ``resets``."""
        return (*self.inner.initial(), *self.resets)

    def after_reset(self, state: State) -> State:
        """The registers hold ``resets``."""
        inside, _ = self._split(state)
        return (*Wrapper.after_reset(self, inside), *self.resets)

    def out(self, state: State, inputs: Values) -> Values:
        """Of the inputs of a clock ago."""
        inside, held = self._split(state)
        return self.inner.out(inside, self._seen(held, inputs))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Of the inputs of a clock ago."""
        inside, held = self._split(state)
        return self.inner.cares(inside, self._seen(held, inputs))

    def next(self, state: State, inputs: Values) -> State:
        """Of the inputs of a clock ago; the registers take the present ones."""
        inside, held = self._split(state)
        return (*self.inner.next(inside, self._seen(held, inputs)), *(inputs[i] for i in self.late))

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """One cycle of the old inputs, the rest of the new ones."""
        inside, held = self._split(state)
        after = tuple(inputs[i] for i in self.late)
        first = self.inner.leap(inside, self._seen(held, inputs), 1 if held != after else cycles)
        if held == after or cycles == 1:
            return Leap((*first.state, *after), first.offsets, first.columns, first.cares)
        rest = self.inner.leap(first.state, inputs, cycles - 1)
        return joined_leaps(self.outputs, first, rest, (*rest.state, *after))


def joined_leaps(outputs: tuple[Signal, ...], first: Leap, rest: Leap, state: State) -> Leap:
    """One leap of ``first``, of one cycle, and then ``rest``; ``state``: after both."""
    cares: tuple[Column | None, ...] | None = None
    if first.cares is not None or rest.cares is not None:
        cares = tuple(np.concatenate([_mask(first, i, s), _mask(rest, i, s)]) for i, s in enumerate(outputs))
    columns = tuple(np.concatenate(pair) for pair in zip(first.columns, rest.columns, strict=True))
    return Leap(state, np.concatenate([first.offsets, rest.offsets + 1]), columns, cares)


def _mask(leap: Leap, index: int, signal: Signal) -> Column:
    mask = None if leap.cares is None else leap.cares[index]
    return np.full(len(leap.offsets), signal.mask, leap.columns[index].dtype) if mask is None else mask


def inputs_late(model: GoldenModel, late: tuple[int, ...]) -> GoldenModel | None:
    """``model`` with a register before the inputs ``late``; None where that is no sensible fault."""
    if follows(model):
        return None
    resting = model.resting if isinstance(model, Drivable) else {}
    return LateInputs(model, late, tuple(resting.get(model.inputs[i].name, 0) for i in late))
