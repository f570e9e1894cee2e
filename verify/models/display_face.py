"""What the digits of a display look like for the stages of a timer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from verify.models.display_layout import Layout
from verify.models.glyphs import BLANK
from verify.models.golden import select
from verify.models.lookup import look_up, look_up_all
from verify.models.segment_wires import POINT
from verify.signals import Column

__all__ = ["Face", "Leading"]

Leading = Literal["shown", "number", "first"]
"""Leading zeros: shown; dark up to the first digit that is not 0; dark in the first place only."""


@dataclass(frozen=True, slots=True)
class Face:
    """``glyphs``: patterns of 0 to 9, or to 15 where every stage is one digit.

    ``points``: a bit per digit whose decimal point is lit, always.

    The last digit, the ones of the fastest stage, is never dark.
    """

    layout: Layout
    glyphs: tuple[int, ...]
    leading: Leading = "shown"
    points: int = 0

    def patterns(self, stages: Sequence[Any]) -> list[Any]:
        """The pattern of every digit, least significant first."""
        digits = [self._digit(stages[stage], stage, place) for stage, place in self.layout.places]
        patterns = [look_up(self.glyphs, digit) for digit in digits]
        dark: Any = 1
        for i in self._hidable():
            dark = dark & (digits[i] == 0)
            patterns[i] = select(dark, BLANK, patterns[i])
        return [p | self._point(i) for i, p in enumerate(patterns)]

    def _digit(self, value: Any, stage: int, place: int) -> Any:
        """The first digit of a stage may be hexadecimal."""
        rest = value // 10**place
        return rest if place == self.layout.sizes[stage] - 1 else rest % 10

    def columns(self, stages: Sequence[Column]) -> list[Column]:
        """The same for columns of stages."""
        digits = []
        for values, size in zip(stages, self.layout.sizes, strict=True):
            rest: Any = values
            for place in range(size):
                higher: Any = rest // 10 if place < size - 1 else 0
                digits.append(rest - 10 * higher)
                rest = higher
        patterns = [look_up_all(self.glyphs, digit) for digit in digits]
        dark = np.ones(len(stages[0]), dtype=bool)
        for i in self._hidable():
            dark &= np.asarray(digits[i] == 0, dtype=bool)
            patterns[i] = np.where(dark, BLANK, patterns[i])
        return [p | self._point(i) for i, p in enumerate(patterns)]

    def known(self, stages_known: Sequence[Any]) -> list[Any]:
        """Whether each digit's pattern is known, from whether each stage is."""
        known = [stages_known[stage] for stage, _ in self.layout.places]
        above: Any = 1
        for i in self._hidable():
            above = above & known[i]
            known[i] = above
        return known

    def _hidable(self) -> range:
        """The digits that may be dark, first one first."""
        last = len(self.layout.places) - 1
        if self.leading == "shown" or last == 0:
            return range(0)
        return range(last, 0 if self.leading == "number" else last - 1, -1)

    def _point(self, digit: int) -> int:
        return POINT if self.points >> digit & 1 else 0
