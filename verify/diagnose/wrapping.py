"""Models around models: the same machine with its wires changed.

A wrapper has the methods that the model inside has and no more, so that whoever plays it sees a
converter, a machine or one that follows an observation, as before. :func:`outputs_rewired` and its
kin choose the class.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np

from verify.models.golden import (
    CombinationalModel,
    Drivable,
    FollowingModel,
    GoldenModel,
    Guided,
    Leap,
    PlacedModel,
    State,
    Values,
)
from verify.signals import Column, ObservedTrace, Signal, Stimulus, column

__all__ = [
    "InputChange",
    "InputsChanged",
    "LateInputs",
    "OutputsRewired",
    "Wire",
    "Wrapper",
    "inputs_changed",
    "inputs_late",
    "outputs_rewired",
    "rewrapped",
]


@dataclass(frozen=True, slots=True)
class Wrapper:
    """Everything as the model inside has it."""

    inner: GoldenModel

    @property
    def inputs(self) -> tuple[Signal, ...]:
        """As inside."""
        return self.inner.inputs

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """As inside."""
        return self.inner.outputs

    @property
    def limits(self) -> Mapping[str, int]:
        """As inside."""
        return self.inner.limits if isinstance(self.inner, Drivable) else {}

    @property
    def resting(self) -> Mapping[str, int]:
        """As inside."""
        return self.inner.resting if isinstance(self.inner, Drivable) else {s.name: 0 for s in self.inputs}

    @property
    def full_cycle(self) -> int:
        """As inside."""
        return self.inner.full_cycle if isinstance(self.inner, Guided) else 1

    def landmarks(self) -> tuple[int, ...]:
        """As inside."""
        return self.inner.landmarks() if isinstance(self.inner, Guided) else ()

    def encode(self, name: str, number: int) -> int:
        """As inside."""
        return self.inner.encode(name, number) if isinstance(self.inner, Guided) else number

    def initial(self) -> State:
        """As inside."""
        return self.inner.initial()

    def after_reset(self, state: State) -> State:
        """As inside."""
        keeps = getattr(self.inner, "after_reset", None)
        return self.inner.initial() if keeps is None else tuple(keeps(state))

    def out(self, state: State, inputs: Values) -> Values:
        """As inside."""
        return self.inner.out(state, inputs)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As inside."""
        return self.inner.cares(state, inputs)

    def next(self, state: State, inputs: Values) -> State:
        """As inside."""
        return self.inner.next(state, inputs)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """As inside."""
        return self.inner.leap(state, inputs, cycles)


@dataclass(frozen=True, slots=True)
class Wire:
    """Where a bit of an output comes from: bit ``bit`` of output ``output``, or ``constant``."""

    output: int = 0
    bit: int = 0
    inverted: bool = False
    constant: int | None = None


@dataclass(frozen=True, slots=True)
class OutputsRewired(Wrapper):
    """``wires``: per output one wire per bit, least significant first."""

    wires: tuple[tuple[Wire, ...], ...] = ()

    def out(self, state: State, inputs: Values) -> Values:
        """The bits of the model inside, elsewhere."""
        return self._gathered(self.inner.out(state, inputs), care=False)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """A bit is promised where the one that it comes from is; a constant always."""
        masks = self.inner.cares(state, inputs)
        return None if masks is None else self._gathered(masks, care=True)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The leap inside, its columns rewired."""
        leap = self.inner.leap(state, inputs, cycles)
        return Leap(
            leap.state,
            leap.offsets,
            self.columns(leap.columns),
            self.care_columns(leap.cares, len(leap.offsets)),
        )

    def _gathered(self, values: Values, *, care: bool) -> Values:
        words = []
        for wires in self.wires:
            word = 0
            for place, wire in enumerate(wires):
                if wire.constant is not None:
                    bit = 1 if care else wire.constant
                else:
                    bit = values[wire.output] >> wire.bit & 1
                    bit ^= int(wire.inverted and not care)
                word |= bit << place
            words.append(word)
        return tuple(words)

    def columns(self, columns: tuple[Column, ...]) -> tuple[Column, ...]:
        """Columns of outputs, rewired."""
        return tuple(
            columns[i] if self._straight(i) else self._column(columns, i, care=False)
            for i in range(len(self.wires))
        )

    def care_columns(
        self, cares: tuple[Column | None, ...] | None, rows: int
    ) -> tuple[Column | None, ...] | None:
        """Columns of masks, rewired."""
        if cares is None:
            return None
        filled = tuple(
            column(np.full(rows, s.mask, object if s.width > 62 else np.int64), s.width) if c is None else c
            for c, s in zip(cares, self.outputs, strict=True)
        )
        return tuple(
            filled[i] if self._straight(i) else self._column(filled, i, care=True)
            for i in range(len(self.wires))
        )

    def _straight(self, index: int) -> bool:
        return self.wires[index] == tuple(Wire(index, b) for b in range(self.outputs[index].width))

    def _column(self, columns: tuple[Column, ...], index: int, *, care: bool) -> Column:
        width = self.outputs[index].width
        wide = max(width, *(self.outputs[w.output].width for w in self.wires[index]))
        dtype: Any = object if wide > 62 else np.int64
        word: Any = np.zeros(len(columns[0]), dtype)
        for place, wire in enumerate(self.wires[index]):
            if wire.constant is not None:
                word = word | ((1 if care else wire.constant) << place)
                continue
            bit = columns[wire.output].astype(dtype, copy=False) >> wire.bit & 1
            if wire.inverted and not care:
                bit = bit ^ 1
            word = word | bit << place
        return column(word.astype(object if width > 62 else np.int64), width)


@dataclass(frozen=True, slots=True)
class _TableRewired(OutputsRewired):
    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """The table inside, its outputs rewired."""
        inside = cast("CombinationalModel", self.inner)
        outputs, cares = inside.table(columns)
        return self.columns(outputs), self.care_columns(cares, len(outputs[0]))


@dataclass(frozen=True, slots=True)
class _FollowingRewired(OutputsRewired):
    def follow(self, stimulus: Stimulus, observed: ObservedTrace) -> GoldenModel:
        """The model inside goes by the observation; its flags are not rewired."""
        inside = cast("FollowingModel", self.inner)
        return replace(self, inner=inside.follow(stimulus, observed))

    def placed(self, state: State, cycle: int) -> State:
        """As inside."""
        return self.inner.placed(state, cycle) if isinstance(self.inner, PlacedModel) else state


def outputs_rewired(model: GoldenModel, wires: tuple[tuple[Wire, ...], ...]) -> GoldenModel:
    """``model`` with its outputs rewired."""
    if isinstance(model, CombinationalModel):
        return _TableRewired(model, wires)
    if isinstance(model, FollowingModel):
        return _FollowingRewired(model, wires)
    return OutputsRewired(model, wires)


@dataclass(frozen=True, slots=True)
class InputChange:
    """What reaches the model in place of input ``index``.

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

    def apply(self, inputs: tuple[Any, ...]) -> Any:
        """The value, or the column of values."""
        value = inputs[self.index]
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
        return self.inner.placed(state, cycle) if isinstance(self.inner, PlacedModel) else state


def inputs_changed(model: GoldenModel, *changes: InputChange) -> GoldenModel:
    """``model`` with its inputs changed on the way in."""
    if isinstance(model, CombinationalModel):
        return _TableChanged(model, changes)
    if isinstance(model, FollowingModel):
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
        return _joined(self.outputs, first, rest, (*rest.state, *after))


def _joined(outputs: tuple[Signal, ...], first: Leap, rest: Leap, state: State) -> Leap:
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
    if isinstance(model, FollowingModel):
        return None
    resting = model.resting if isinstance(model, Drivable) else {}
    return LateInputs(model, late, tuple(resting.get(model.inputs[i].name, 0) for i in late))


def rewrapped(wrapper: Wrapper, inner: GoldenModel) -> GoldenModel:
    """The same wrapper around another model, which may be of another kind."""
    if isinstance(wrapper, OutputsRewired):
        return outputs_rewired(inner, wrapper.wires)
    if isinstance(wrapper, InputsChanged):
        return inputs_changed(inner, *wrapper.changes)
    return replace(wrapper, inner=inner)
