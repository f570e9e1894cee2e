"""A chain of counters: each stage steps when all faster ones roll over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod
from typing import Any

import numpy as np

from verify.models.golden import select
from verify.signals import Column

__all__ = ["Chain"]

EXACT = 1 << 62
"""Below this, sums in int64 are exact."""


@dataclass(frozen=True, slots=True)
class Chain:
    """``moduli`` of the stages, fastest first. ``stops``: at the end it stands instead of wrapping.

    The end is the last state before a wrap: every stage at its largest value, or, counting down,
    every stage at 0. The index of a state counts all states upwards from all zeros. ``cut``: only so
    many of them, from zeros up, such as 24 hours in two decimal digits; 0: all.
    """

    moduli: tuple[int, ...]
    down: bool = False
    stops: bool = False
    cut: int = 0

    @property
    def states(self) -> int:
        """How many states there are."""
        whole = prod(self.moduli)
        return min(self.cut, whole) if self.cut else whole

    @property
    def highest(self) -> tuple[int, ...]:
        """The stages in the state with the largest index."""
        return tuple(int(value) for value in self.stages(self.states - 1))

    def within(self, stages: Sequence[Any]) -> Any:
        """1 where the chain has the state."""
        return select(self.index(stages) < self.states, 1, 0)

    def at_end(self, stages: Sequence[Any]) -> Any:
        """Whether all stages are in their last state."""
        found: Any = 1
        for value, highest in zip(stages, self.highest, strict=True):
            found = found & (value == (0 if self.down else highest))
        return found

    def step(self, stages: Sequence[Any], due: Any) -> tuple[Any, ...]:
        """The stages after a clock edge; they step when ``due``."""
        carry = select(self.at_end(stages), 0, due) if self.stops else due
        wraps = carry & self.at_end(stages) if self.cut else 0
        stepped = []
        for value, modulo in zip(stages, self.moduli, strict=True):
            last = value == (0 if self.down else modulo - 1)
            following = select(last, modulo - 1, value - 1) if self.down else select(last, 0, value + 1)
            stepped.append(select(carry, following, value))
            carry = carry & last
        if self.cut:
            begin = self.highest if self.down else (0,) * len(self.moduli)
            stepped = [select(wraps, first, value) for first, value in zip(begin, stepped, strict=True)]
        return tuple(stepped)

    def index(self, stages: Sequence[Any]) -> Any:
        """The index of a state."""
        total: Any = 0
        weight = 1
        for value, modulo in zip(stages, self.moduli, strict=True):
            total += value * weight
            weight *= modulo
        return total

    def stages(self, index: Any) -> list[Any]:
        """The stages of an index, or of a column of them."""
        found = []
        for modulo in self.moduli[:-1]:
            found.append(index % modulo)
            index = index // modulo
        return [*found, index]

    def left(self, index: int) -> int:
        """Steps from a state to the end."""
        return index if self.down else self.states - 1 - index

    def indices(self, start: int, steps: int) -> Column:
        """The indices of ``steps`` + 1 successive states from ``start``; to the end at most, if it stops."""
        moved: Any = np.arange(steps + 1, dtype=np.int64 if self.states + steps < EXACT else object)
        found: Column = (start - moved if self.down else start + moved) % self.states
        return found
