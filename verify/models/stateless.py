"""What every model without state has in common."""

from __future__ import annotations

from abc import abstractmethod

import numpy as np

from verify.models.golden import Leap, State, Values
from verify.signals import Signal, column

__all__ = ["Stateless", "still"]


class Stateless:
    """A base for combinational models: ``outputs``, ``out`` and ``cares`` are theirs to give."""

    __slots__ = ()

    @property
    @abstractmethod
    def outputs(self) -> tuple[Signal, ...]:
        """The outputs, in the order of the values of ``out``."""

    @abstractmethod
    def out(self, state: State, inputs: Values) -> Values:
        """The outputs of one cycle."""

    @abstractmethod
    def cares(self, state: State, inputs: Values) -> Values | None:
        """Per output the mask of promised bits; None when all are."""

    def initial(self) -> State:
        """No state."""
        return ()

    def next(self, state: State, inputs: Values) -> State:  # noqa: ARG002 -- the contract's signature
        """No state."""
        return ()

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:  # noqa: ARG002
        """Steady inputs, steady outputs."""
        return still((), self.outputs, self.out((), inputs), self.cares((), inputs))


def still(state: State, outputs: tuple[Signal, ...], values: Values, masks: Values | None) -> Leap:
    """A leap during which the outputs do not change; ``state``: the one after it."""
    return Leap(
        state,
        np.zeros(1, np.int64),
        tuple(column([v], s.width) for v, s in zip(values, outputs, strict=True)),
        None if masks is None else tuple(column([m], s.width) for m, s in zip(masks, outputs, strict=True)),
    )
