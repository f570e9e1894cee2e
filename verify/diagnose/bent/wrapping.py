"""A model around a model: everything as the model inside has it.

A wrapper has the methods that the model inside has and no more, so that whoever plays it sees a
converter, a machine or one that follows an observation, as before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from verify.models.golden import (
    Drivable,
    GoldenModel,
    Guided,
    Leap,
    State,
    Values,
)
from verify.signals import Signal

__all__ = ["Wrapper"]

_OPERATING = frozenset({"ahead_cycles", "counted_cycles", "gestures", "opening", "pauses"})


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

    def after_held(self, state: State, inputs: Values) -> State:
        """As inside."""
        runs = getattr(self.inner, "after_held", None)
        return state if runs is None else tuple(runs(state, inputs))

    def __getattr__(self, name: str) -> Any:
        """How a model is operated, if it has to be."""
        if name in _OPERATING:
            return getattr(self.inner, name)
        raise AttributeError(name)

    @property
    def outlives_reset(self) -> bool:
        """As inside."""
        return bool(getattr(self.inner, "outlives_reset", False))

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
