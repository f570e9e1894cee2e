"""What static and scanned displays have in common: the timer behind them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from verify.models.display_face import Face
from verify.models.display_leaps import SharedLeaps
from verify.models.golden import Leap, Values
from verify.models.segment_decoder import EVERYTHING
from verify.models.timer_behind import TimerBehind
from verify.signals import Column, Signal, column

__all__ = ["FEW_ROWS", "TimerDisplay", "as_columns", "row_by_row"]

FEW_ROWS = 6
"""Leaps of up to so many rows are worked out row by row."""


class TimerDisplay(TimerBehind):
    """A base: the timer's outputs after the stages follow the display's."""

    __slots__ = ()

    face: Face
    """The digits."""

    leaps: SharedLeaps | None
    """Where the timer's long leaps are kept; None: nowhere."""

    @property
    def stages(self) -> int:
        """How many of the timer's outputs are stages."""
        return len(self.face.layout.moduli)

    @property
    def flags(self) -> tuple[Signal, ...]:
        """The timer's outputs that go out as they are: ``tick``, ``done``."""
        return self.timer.outputs[self.stages :]

    def masks_of(self, stage_masks: Values | None) -> list[Any]:
        """The promised bits of every digit's pattern, from those of the timer's outputs."""
        digits = len(self.face.layout.places)
        if stage_masks is None:
            return [EVERYTHING] * digits
        return [known * EVERYTHING for known in self.face.known([m != 0 for m in stage_masks[: self.stages]])]

    def mask_columns(self, leap: Leap) -> list[Column] | None:
        """The same for a leap; None when all is promised."""
        if leap.cares is None or all(care is None for care in leap.cares[: self.stages]):
            return None
        ones = np.ones(len(leap.offsets), dtype=bool)
        stages = [ones if care is None else np.asarray(care != 0) for care in leap.cares[: self.stages]]
        return [known * np.int64(EVERYTHING) for known in self.face.known(stages)]

    def timer_leap(self, state: tuple[int, ...], inputs: Values, cycles: int) -> Leap:
        """The timer's leap, remembered where it is shared."""
        if self.leaps is None:
            return self.timer.leap(state, inputs, cycles)
        return self.leaps.leap(self.timer, state, inputs, cycles)

    def flag_columns(self, leap: Leap) -> tuple[tuple[Column, ...], tuple[Column | None, ...]]:
        """Values and masks of the flags."""
        cares = leap.cares if leap.cares is not None else (None,) * len(leap.columns)
        return leap.columns[self.stages :], cares[self.stages :]


def row_by_row(words_of: Callable[[list[int]], Sequence[int]], columns: Sequence[Column]) -> list[Any]:
    """Columns of words, worked out with plain integers: cheaper than numpy for a few rows."""
    rows = [words_of(list(row)) for row in zip(*(c.tolist() for c in columns), strict=True)]
    return [list(words) for words in zip(*rows, strict=True)]


def as_columns(words: Sequence[Any], signals: Sequence[Signal]) -> tuple[Column, ...]:
    """Computed words as columns of their signals."""
    return tuple(column(word, s.width) for word, s in zip(words, signals, strict=True))
