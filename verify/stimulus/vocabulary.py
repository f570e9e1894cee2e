"""What can be done to a model's inputs, as runs."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from verify.models.golden import (
    SETTLING_CYCLES,
    Drivable,
    GoldenModel,
    Guided,
    Operated,
    at_rest,
)
from verify.signals import Column, Reset, Run, Signal, column

__all__ = ["Hand", "corners"]


class Hand:
    """The inputs of one model: which are controls, which are data, and what they are at rest.

    ``resets``: the ways in which the design's reset may be driven, () without one; ``pulses``: those
    of them between two edges. ``resting``: every input at rest. ``controls`` and ``data``: indices
    of the inputs of one bit and of the wider ones. ``guide``: the model when it says when something
    is about to happen. ``operated``: the model when it has to be told to run.
    """

    def __init__(self, model: GoldenModel, resets: tuple[Reset, ...]) -> None:
        self.model, self.resets = model, resets
        self.pulses = tuple(reset for reset in resets if reset.pulsed)
        self.signals: tuple[Signal, ...] = model.inputs
        # a check against a protocol is slow, and these are asked for every number drawn
        self.guide: Guided | None = model if isinstance(model, Guided) else None
        self.operated: Operated | None = model if isinstance(model, Operated) else None
        self._limits: Mapping[str, int] = model.limits if isinstance(model, Drivable) else {}
        self.resting = at_rest(model)
        self.controls = tuple(i for i, s in enumerate(self.signals) if s.width == 1)
        self.data = tuple(i for i, s in enumerate(self.signals) if s.width > 1)

    def limit(self, index: int) -> int:
        """Largest number to drive on that input."""
        signal = self.signals[index]
        return self._limits.get(signal.name, signal.mask)

    def encode(self, index: int, number: int) -> int:
        """The input value that stands for ``number``."""
        return number if self.guide is None else self.guide.encode(self.signals[index].name, number)

    def with_values(self, changes: Mapping[int, int]) -> tuple[int, ...]:
        """The resting inputs with some of them changed."""
        return tuple(changes.get(i, v) for i, v in enumerate(self.resting))

    def off_rest(self, control: int) -> tuple[int, ...]:
        """The resting inputs with one control the other way."""
        return self.with_values({control: 1 - self.resting[control]})

    def rest(self, cycles: int) -> Run:
        """Nothing is asked for so many cycles."""
        return Run(cycles, self.resting)

    def named(self, changes: Mapping[str, int]) -> tuple[int, ...]:
        """The resting inputs with some of them, by name, changed."""
        return tuple(changes.get(s.name, v) for s, v in zip(self.signals, self.resting, strict=True))

    def begin(self) -> list[Run]:
        """What a stimulus starts with: reset, where there is one, and what makes the design run."""
        return [*self.reset(), *self.go()]

    def reset(self) -> list[Run]:
        """Reset alone, where there is one."""
        return [Run(2, self.resting, Reset.HELD)] if self.resets else []

    def go(self) -> list[Run]:
        """What makes a design run after reset; nothing for one that does by itself."""
        if self.operated is None or not self.operated.opening:
            return []
        return [self.rest(SETTLING_CYCLES), Run(1, self.named(self.operated.opening))]

    def gestures(self, control: int, cycles: int = 1) -> dict[str, list[Run]]:
        """What can be done with a control while the design runs, so that it runs on: name -> runs."""
        name = self.signals[control].name
        if self.operated is None:
            return {name: [Run(cycles, self.off_rest(control))]}
        found = self.operated.gestures(name, cycles)
        return {what: [Run(c, self.named(values)) for c, values in steps] for what, steps in found.items()}

    def ahead(self, control: int) -> int:
        """So many clocks before a landmark a control is moved to act at it."""
        return 0 if self.operated is None else self.operated.ahead_cycles(self.signals[control].name)

    def random_columns(self, rows: int, rng: np.random.Generator) -> tuple[Column, ...]:
        """Independent legal values for every input; controls mostly at rest."""
        return tuple(self._random_column(i, rows, rng) for i in range(len(self.signals)))

    def _random_column(self, index: int, rows: int, rng: np.random.Generator) -> Column:
        signal = self.signals[index]
        if signal.width == 1:
            rest = self.resting[index]
            return column(np.where(rng.random(rows) < 0.25, 1 - rest, rest), 1)
        limit = self.limit(index)
        if limit < 1 << 62:
            numbers = rng.integers(0, limit + 1, rows).tolist()
        else:
            numbers = [
                int.from_bytes(rng.bytes(signal.width // 8 + 1), "big") % (limit + 1) for _ in range(rows)
            ]
        return column([self.encode(index, n) for n in numbers], signal.width)


def corners(limit: int) -> tuple[int, ...]:
    """0, the limit, every power of two and of ten, and their neighbours."""
    found = {0, limit}
    for base in (2, 10):
        power = 1
        while power <= limit:
            found.update((power - 1, power, power + 1))
            power *= base
    found.update((limit - 1, limit // 2, limit // 3))
    return tuple(sorted(v for v in found if 0 <= v <= limit))
