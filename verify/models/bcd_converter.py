"""A combinational converter from binary to decimal digits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from verify.models.digits import DigitPorts, decimal_columns, decimal_digits
from verify.models.golden import State, Values, select
from verify.models.stateless import Stateless
from verify.signals import Column, Signal, column

__all__ = ["Converter"]


@dataclass(frozen=True, slots=True)
class Converter(Stateless):
    """A number in binary, the same number in decimal; above ``promised`` (None: never) nothing is promised.

    Digits that there is no room for are dropped. ``max_value``: largest number to drive.
    """

    width: int
    ports: DigitPorts
    promised: int | None = None
    max_value: int | None = None

    @property
    def inputs(self) -> tuple[Signal, ...]:
        """``binary``."""
        return (Signal("binary", self.width),)

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """``bcd``, or the separate digits."""
        return self.ports.signals

    @property
    def limits(self) -> Mapping[str, int]:
        """``max_value``, where there is one."""
        return {} if self.max_value is None else {"binary": self.max_value}

    @property
    def resting(self) -> Mapping[str, int]:
        """Zero."""
        return {"binary": 0}

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the contract's signature
        """The decimal digits of the input."""
        return self.ports.words(decimal_digits(inputs[0], self.ports.count))

    def cares(self, state: State, inputs: Values) -> Values | None:  # noqa: ARG002
        """All bits, or none for a number about which nothing is promised."""
        if self.promised is None:
            return None
        return tuple(select(inputs[0] <= self.promised, s.mask, 0) for s in self.outputs)

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """The same for a column of inputs."""
        digits = self.ports.columns(decimal_columns(columns[0], self.ports.count))
        if self.promised is None:
            return digits, None
        promised = np.asarray(columns[0] <= self.promised, dtype=bool)
        cares = [np.where(promised, column([s.mask], s.width), column([0], s.width)) for s in self.outputs]
        return digits, tuple(column(c, s.width) for c, s in zip(cares, self.outputs, strict=True))
