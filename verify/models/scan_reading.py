"""Read a scan off the select lines of a first observation."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from verify.models.scan import Scan
from verify.signals import Column, ObservedTrace, Reset, Stimulus, width_mask

__all__ = ["LONGEST_FILL_CYCLES", "Measured", "SelectLines", "measure_scan", "phase_of", "stuck_at"]

NONE, SEVERAL = -1, -2
"""In place of a digit: none is selected; several are, or it is not known."""

LONGEST_FILL_CYCLES = 8

STOPPED = 2
"""A scan that stands for so many times as long as its first turn took has stopped."""


@dataclass(frozen=True, slots=True)
class SelectLines:
    """One line per digit; ``active_low``: a 0 selects."""

    digits: int
    active_low: bool = False

    def word(self, one_hot: Any) -> Any:
        """The lines for a word with the selected digit's bit set."""
        return one_hot ^ (width_mask(self.digits) if self.active_low else 0)

    def digit(self, words: Column, unknown: Column | None) -> NDArray[np.int64]:
        """The selected digit of every row."""
        found = np.full(len(words), SEVERAL, np.int64)
        lit = self.word(words)
        found[np.asarray(lit == 0, dtype=bool)] = NONE
        for digit in range(self.digits):
            found[np.asarray(lit == 1 << digit, dtype=bool)] = digit
        if unknown is not None:
            found[np.asarray(unknown != 0, dtype=bool)] = SEVERAL
        return found


@dataclass(frozen=True, slots=True)
class Measured:
    """A scan without its place in time, and that place: ``slot`` begins in cycle ``begins``, counted
    from ``release``, the first cycle without reset. ``waits``: without a reset nothing is known before.
    """

    scan: Scan
    release: int
    slot: int
    begins: int
    waits: bool = False

    def delayed(self, latency: int) -> Scan:
        """The scan of a model whose outputs come ``latency`` clocks late."""
        scan = self.scan
        known = self.begins - self.slot * scan.dwell - scan.blanking
        filled = self.waits or known <= latency + LONGEST_FILL_CYCLES
        fill = known - latency if latency < known and filled else 0
        start = (self.slot * scan.dwell + latency + fill - self.begins) % scan.period
        return replace(scan, start=start, fill=fill)


def measure_scan(
    lines: SelectLines,
    stimulus: Stimulus,
    observed: ObservedTrace,
    index: int,
    *,
    dwell: int | None,
    blanking: int | None,
) -> Measured | None:
    """What output ``index``, the selects, does after the first reset; None when it shows too little.

    ``dwell`` and ``blanking``: pinned, None to have them measured.
    """
    release, end = _first_stretch(stimulus)
    digits, starts = _turns(lines, observed, index, release, end)
    begins = [i for i in range(1, len(digits)) if digits[i] >= 0]
    if lines.digits == 1:
        return Measured(Scan(1, dwell or 1, blanking or 0), release, 0, 0)
    if dwell is None:
        gaps = [int(starts[b] - starts[a]) for a, b in pairwise(begins)]
        dwell = _usual(gaps)
    if dwell is None or not begins:
        return None
    if blanking is None:
        whole = range(1, len(digits) - 1)
        dark = [int(starts[i + 1] - starts[i]) for i in whole if digits[i] == NONE]
        blanking = min(_usual(dark) or 0, dwell - 1)
    # The first turn may be cut short by the reset, so the second beginning tells the time.
    sign = begins[min(1, len(begins) - 1)]
    descending = False
    if len(begins) > 1 and lines.digits > 2:  # of two digits either follows the other
        descending = (int(digits[begins[0]]) - int(digits[sign])) % lines.digits == 1
    under_way = digits[begins[0] - 1] >= 0 or begins[0] > 1
    slot = int(under_way) + int(sign != begins[0])
    first = (int(digits[sign]) + (slot if descending else -slot)) % lines.digits
    scan = Scan(lines.digits, dwell, blanking, first, descending)
    never_reset = not (stimulus.reset != Reset.RELEASED).any()
    waits = never_reset and int(starts[0]) == 0 and digits[0] == SEVERAL and begins[0] == 1
    return Measured(scan, release, slot, int(starts[sign]) - release, waits)


def stuck_at(lines: SelectLines, stimulus: Stimulus, observed: ObservedTrace, index: int) -> bool:
    """Whether the select stands still as far as it is seen: from soon after the first reset to the next.

    A single step may be that of a slow scan, unless it then stands for much longer than before.
    """
    release, end = _first_stretch(stimulus)
    digits, starts = _turns(lines, observed, index, release, end)
    late = [at for at in starts.tolist() if at > int(starts[0]) + LONGEST_FILL_CYCLES]
    slow = len(late) == 1 and end - late[0] < STOPPED * (late[0] - release)
    return digits[-1] >= 0 and (not late or slow)


def phase_of(scan: Scan, lines: SelectLines, observed: ObservedTrace, index: int) -> int | None:
    """The position of the scan in cycle 0 of ``observed``; None when no digit's turn begins in it."""
    digits, starts = _turns(lines, observed, index, 0, observed.length)
    lit = np.flatnonzero(digits[1:] >= 0) + 1
    if len(lit) == 0:
        return None
    slots = np.argsort(np.asarray(scan.order))[digits[lit]]
    phases = (slots * scan.dwell - starts[lit]) % scan.period
    # A turn that only begins where a reset ends is out of line with all the others.
    return _usual(phases[::-1].tolist())


def _first_stretch(stimulus: Stimulus) -> tuple[int, int]:
    """The cycles from the first release of the reset to the next reset."""
    released = stimulus.reset == Reset.RELEASED
    first = int(np.argmax(released)) if released.any() else 0
    later = np.flatnonzero(~released[first:])
    starts = stimulus.starts
    end = int(starts[first + later[0]]) if len(later) else stimulus.length
    return int(starts[first]), end


def _turns(
    lines: SelectLines, observed: ObservedTrace, index: int, begin: int, end: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The digits selected from ``begin`` on and the cycles at which they come; the first one at ``begin``."""
    unknown = None if observed.unknown is None else observed.unknown[index]
    digits = lines.digit(observed.values[index], unknown)
    first = int(np.searchsorted(observed.cycles, begin, side="right")) - 1
    last = int(np.searchsorted(observed.cycles, end, side="left"))
    digits, starts = digits[first:last], np.maximum(observed.cycles[first:last], begin)
    keep = np.ones(len(digits), dtype=bool)
    keep[1:] = digits[1:] != digits[:-1]
    return digits[keep], starts[keep]


def _usual(lengths: list[int]) -> int | None:
    return Counter(lengths).most_common(1)[0][0] if lengths else None
