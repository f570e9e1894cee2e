"""A display whose digits share their segment lines and are selected one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from verify.models.controls import control, position
from verify.models.display_face import Face
from verify.models.display_leaps import SharedLeaps
from verify.models.display_timer import TimerDisplay, as_columns
from verify.models.glyphs import ALL_LIT
from verify.models.golden import Leap, State, Values, select
from verify.models.lookup import look_up
from verify.models.scan import FILLING, Scan
from verify.models.scan_reading import SelectLines, phase_of
from verify.models.segment_decoder import EVERYTHING
from verify.models.segment_wires import POINT, SegmentWires
from verify.models.timer_model import Timer
from verify.signals import Column, ObservedTrace, Signal, Stimulus, merged_cycles

__all__ = ["ScannedDisplay", "SharedLines", "picked"]

UNREACHABLE = 1 << 60
"""A landmark that no stimulus gets to: what lies behind it is never taken for checked."""


@dataclass(frozen=True, slots=True)
class SharedLines:
    """The segment lines, the selects, and where there is one the line of the decimal point."""

    wires: SegmentWires
    select: SelectLines
    point: bool = False

    @property
    def signals(self) -> tuple[Signal, ...]:
        """``segments``, ``select``, ``point``."""
        found = (Signal("segments", self.wires.wires), Signal("select", self.select.digits))
        return (*found, Signal("point", 1)) if self.point else found

    def words(self, pattern: Any, one_hot: Any) -> tuple[Any, ...]:
        """What is on the ports for a pattern and the selected digit, or columns of them."""
        words = (self.wires.word(pattern), self.select.word(one_hot))
        lit = (pattern & POINT) // POINT ^ int(self.wires.active_low)
        return (*words, lit) if self.point else words

    def masks(self, pattern: Any, selects: Any) -> tuple[Any, ...]:
        """The promised bits, from those of the pattern and those of the selects."""
        words = (self.wires.mask(pattern), selects)
        return (*words, (pattern & POINT) // POINT) if self.point else words


@dataclass(frozen=True, slots=True)
class ScannedDisplay(TimerDisplay):
    """State: that of the scan (clocks of fill, position), then the timer's.

    A scan that reset does not touch is followed: its place is read off each observation, which is
    ``delay`` clocks late, and kept in ``anchor``. ``shortest_look``: clocks after reset in which
    the scan can be measured; 0 when it has been. ``unseen``: it has not been in a first look.
    """

    timer: Timer
    face: Face
    lines: SharedLines
    scan: Scan
    delay: int = 0
    anchor: int | None = None
    shortest_look: int = 0
    unseen: bool = False
    shown_in_reset: int | None = None
    leaps: SharedLeaps | None = field(default=None, compare=False, repr=False)

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """Segments, selects, then the flags of the timer."""
        return self.lines.signals + self.flags

    @property
    def full_cycle(self) -> int:
        """At least a period of the scan."""
        return max(self.timer.full_cycle, self.scan.period)

    def landmarks(self) -> tuple[int, ...]:
        """Those of the timer, and the turns of a scan that is slower than the timer."""
        marks = self.timer.landmarks()
        first = max(marks[0], self.shortest_look)
        turns = [slot * self.scan.dwell - 1 for slot in range(1, self.scan.digits + 1)]
        last = (UNREACHABLE,) if self.unseen else ()
        return (*sorted({first, *(m for m in (*marks, *turns) if m > first)}), *last)

    @property
    def turns(self) -> int:
        """How many digits there are."""
        return self.scan.digits

    @property
    def turn_cycles(self) -> int:
        """Clocks for which each of them is selected."""
        return self.scan.dwell

    def refresh_hz(self, frequency_hz: float) -> float:
        """How often every digit is served in a second; below about 60 it flickers (common practice)."""
        return frequency_hz / self.scan.period

    @property
    def reset_outputs(self) -> tuple[tuple[int, int], ...] | None:
        """The segment lines while reset is held; nothing is said of selects, point and flags."""
        if self.shown_in_reset is None:
            return None
        wires = self.lines.wires
        segments = int(wires.word(self.shown_in_reset)), int(wires.mask(ALL_LIT))
        return (segments, *((0, 0) for _ in self.outputs[1:]))

    def follow(self, stimulus: Stimulus, observed: ObservedTrace) -> ScannedDisplay:  # noqa: ARG002
        """The display with the scan where ``observed`` has it, if reset does not touch the scan."""
        if not self.scan.continues:
            return self
        index = self.outputs.index(self.lines.signals[1])
        at = phase_of(self.scan, self.lines.select, observed, index)
        return self if at is None else replace(self, anchor=(at + self.delay) % self.scan.period)

    def placed(self, state: State, cycle: int) -> State:
        """Where a scan that reset does not touch is in that cycle."""
        if not self.scan.continues or self.anchor is None:
            return state
        return (state[0], (self.anchor + cycle) % self.scan.period, *state[2:])

    def initial(self) -> State:
        """As after reset."""
        return (*self.scan.initial(), *self.timer.initial())

    def out(self, state: State, inputs: Values) -> Values:
        """The digit whose turn it is."""
        shown = self.timer.out(state[2:], inputs)
        digit, lit = self.scan.at(state[1])
        pattern = picked(self.face.patterns(shown[: self.stages]), digit)
        one_hot = select(lit, look_up([1 << i for i in range(self.scan.digits)], digit), 0)
        return (*self.lines.words(pattern, one_hot), *shown[self.stages :])

    def cares(self, state: State, inputs: Values) -> Values | None:
        """The selects after the fill, the segments while a digit that is known is selected."""
        masks = self.timer.cares(state[2:], inputs)
        flags = masks[self.stages :] if masks is not None else tuple(s.mask for s in self.flags)
        digit, lit = self.scan.at(state[1])
        filled = select(state[0] == 0, 1, 0)
        selects = filled * self.lines.signals[1].mask
        pattern = select(filled & lit, picked(self.masks_of(masks), digit), 0)
        return (*self.lines.masks(pattern, selects), *flags)

    def next(self, state: State, inputs: Values) -> State:
        """The scan goes on beside the timer."""
        enable, clear = self._controls(inputs)
        scan = self.scan.next((state[0], state[1]), enable, clear)
        return (*scan, *self.timer.next(state[2:], inputs))

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The timer's rows and the scan's turns, joined."""
        timer = self.timer_leap(state[2:], inputs, cycles)
        track = self.scan.track((state[0], state[1]), *self._controls(inputs), cycles)
        offsets = merged_cycles(timer.offsets, track.offsets)
        rows = np.searchsorted(timer.offsets, offsets, side="right") - 1
        turns = track.turns[np.searchsorted(track.offsets, offsets, side="right") - 1]
        digits = np.maximum(turns, 0)

        patterns = np.stack(self.face.columns(timer.columns[: self.stages]))[digits, rows]
        words = self.lines.words(patterns, np.where(turns >= 0, np.int64(1) << digits, 0))
        masks = self.mask_columns(timer)
        promised: Column = (
            np.full(len(offsets), EVERYTHING) if masks is None else np.stack(masks)[digits, rows]
        )
        promised = np.where(turns >= 0, promised, 0)
        selects = np.where(turns == FILLING, 0, self.lines.signals[1].mask)
        flags, flag_masks = self.flag_columns(timer)
        return Leap(
            (*track.state, *timer.state),
            offsets,
            (*as_columns(words, self.lines.signals), *(c[rows] for c in flags)),
            (
                *as_columns(self.lines.masks(promised, selects), self.lines.signals),
                *(None if c is None else c[rows] for c in flag_masks),
            ),
        )

    def _controls(self, inputs: Values) -> tuple[Any, Any]:
        enable = control(inputs, position(self.timer.inputs, "enable"), 1)
        return enable, control(inputs, position(self.timer.inputs, "clear"), 0)


def picked(values: Sequence[Any], digit: Any) -> Any:
    """The value of that digit."""
    found = values[-1]
    for i in range(len(values) - 2, -1, -1):
        found = select(digit == i, values[i], found)
    return found
