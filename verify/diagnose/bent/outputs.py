"""The same machine with the wires of its outputs changed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np

from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.kinds import follows, is_placed, is_table
from verify.models.golden import (
    CombinationalModel,
    FollowingModel,
    GoldenModel,
    Leap,
    State,
    Values,
)
from verify.signals import Column, ObservedTrace, Stimulus, column

__all__ = ["OutputsRewired", "Wire", "outputs_rewired"]


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
        return self.inner.placed(state, cycle) if is_placed(self.inner) else state


def outputs_rewired(model: GoldenModel, wires: tuple[tuple[Wire, ...], ...]) -> GoldenModel:
    """``model`` with its outputs rewired."""
    if is_table(model):
        return _TableRewired(model, wires)
    if follows(model):
        return _FollowingRewired(model, wires)
    return OutputsRewired(model, wires)
