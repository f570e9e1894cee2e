"""A display with lines of its own for every digit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from verify.models.display_face import Face
from verify.models.display_leaps import SharedLeaps
from verify.models.display_timer import FEW_ROWS, TimerDisplay, as_columns, row_by_row
from verify.models.glyphs import ALL_LIT
from verify.models.golden import Leap, State, Values
from verify.models.segment_wires import POINT, SegmentWires
from verify.models.timer_model import Timer
from verify.signals import Column, ExpectedTrace, Signal
from verify.signals.columns import INT64_BITS

__all__ = ["Panel", "StaticDisplay"]


@dataclass(frozen=True, slots=True)
class Panel:
    """The wires of all digits, least significant digit first.

    ``packed``: all on one port, that digit in the lowest bits. ``point``: a further port with one
    bit per digit for the decimal points.
    """

    wires: tuple[SegmentWires, ...]
    packed: bool = False
    point: bool = False

    @property
    def signals(self) -> tuple[Signal, ...]:
        """``digits[0]`` and up, or ``segments``; then ``point``."""
        if self.packed:
            found = [Signal("segments", self.wires_in_all)]
        else:
            found = [Signal(f"digits[{i}]", wires.wires) for i, wires in enumerate(self.wires)]
        return (*found, Signal("point", len(self.wires))) if self.point else tuple(found)

    @property
    def wires_in_all(self) -> int:
        """Bits of the packed port."""
        return sum(wires.wires for wires in self.wires)

    def words(self, patterns: Sequence[Any], *, masks: bool = False) -> list[Any]:
        """What is on the ports for patterns or columns of them; ``masks``: for promised segments."""
        words = [
            wires.mask(p) if masks else wires.word(p) for wires, p in zip(self.wires, patterns, strict=True)
        ]
        if self.packed:
            words = [self._joined(words, [wires.wires for wires in self.wires])]
        if self.point:
            lit = not masks and self.wires[0].active_low
            points = [(p & POINT) // POINT ^ int(lit) for p in patterns]
            words.append(self._joined(points, [1] * len(points)))
        return words

    def patterns(self, words: Sequence[Any]) -> list[Any]:
        """The patterns behind columns of words, the points of a further port left aside."""
        if not self.packed:
            return [wires.word(word) for wires, word in zip(self.wires, words, strict=False)]
        found, taken = [], 0
        for wires in self.wires:
            bits = words[0] >> taken & (1 << wires.wires) - 1
            found.append(wires.word(bits.astype(np.int64)))
            taken += wires.wires
        return found

    @staticmethod
    def _joined(words: Sequence[Any], widths: Sequence[int]) -> Any:
        if sum(widths) > INT64_BITS:
            words = [w.astype(object) if isinstance(w, np.ndarray) else w for w in words]
        total: Any = 0
        taken = 0
        for word, width in zip(words, widths, strict=True):
            total = total + (word << taken)
            taken += width
        return total


@dataclass(frozen=True, slots=True)
class StaticDisplay(TimerDisplay):
    """The state is the timer's. ``shown_in_reset``: pattern of every digit while reset is held."""

    timer: Timer
    face: Face
    panel: Panel
    shown_in_reset: int | None = None
    leaps: SharedLeaps | None = field(default=None, compare=False, repr=False)

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """The digits, then the flags of the timer."""
        return self.panel.signals + self.flags

    @property
    def full_cycle(self) -> int:
        """As of the timer."""
        return self.timer.full_cycle

    def landmarks(self) -> tuple[int, ...]:
        """As of the timer."""
        return self.timer.landmarks()

    @property
    def reset_outputs(self) -> tuple[tuple[int, int], ...] | None:
        """The segments of every digit while reset is held; nothing is said of points and flags."""
        if self.shown_in_reset is None:
            return None
        digits = len(self.panel.wires)
        words = self.panel.words([self.shown_in_reset] * digits)
        masks = self.panel.words([ALL_LIT] * digits, masks=True)
        return (*zip(words, masks, strict=True), *((0, 0) for _ in self.flags))

    def initial(self) -> State:
        """As of the timer."""
        return self.timer.initial()

    def out(self, state: State, inputs: Values) -> Values:
        """The digits of the stages."""
        shown = self.timer.out(state, inputs)
        return (*self.panel.words(self.face.patterns(shown[: self.stages])), *shown[self.stages :])

    def cares(self, state: State, inputs: Values) -> Values | None:
        """A digit is promised when its stage is, and all that could make it a leading zero."""
        masks = self.timer.cares(state, inputs)
        flags = masks[self.stages :] if masks is not None else tuple(s.mask for s in self.flags)
        return (*self.panel.words(self.masks_of(masks), masks=True), *flags)

    def next(self, state: State, inputs: Values) -> State:
        """As of the timer."""
        return self.timer.next(state, inputs)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The timer's, its stages looked up."""
        return self._shown(self.timer_leap(state, inputs, cycles))

    @property
    def inner(self) -> Timer:
        """See :class:`verify.models.golden.Dressing`."""
        return self.timer

    def dressed(self, trace: ExpectedTrace) -> ExpectedTrace:
        """The trace of the timer, its stages looked up."""
        leap = self._shown(Leap((), trace.cycles, trace.values, trace.cares))
        return ExpectedTrace(self.outputs, trace.length, leap.offsets, leap.columns, leap.cares)

    def _shown(self, leap: Leap) -> Leap:
        stages = leap.columns[: self.stages]
        if len(leap.offsets) <= FEW_ROWS:
            words = row_by_row(lambda row: self.panel.words(self.face.patterns(row)), stages)
        else:
            words = self.panel.words(self.face.columns(stages))
        flags, flag_masks = self.flag_columns(leap)
        masks = self.mask_columns(leap)
        cares: tuple[Column | None, ...] | None = None
        if leap.cares is not None:
            promised: tuple[Column | None, ...] = (None,) * len(words)
            if masks is not None:
                promised = as_columns(self.panel.words(masks, masks=True), self.panel.signals)
            cares = (*promised, *flag_masks)
        columns = (*as_columns(words, self.panel.signals), *flags)
        return Leap(leap.state, leap.offsets, columns, cares)
