"""Long leaps of a timer, kept for displays that differ only in their glyphs."""

from __future__ import annotations

from verify.models.golden import Leap, State, Values
from verify.models.timer_model import Timer

__all__ = ["SharedLeaps"]

LONG_ROWS = 512
KEPT = 4


class SharedLeaps:
    """Remembers the last few long leaps; handed from the family to the models that may share them."""

    def __init__(self) -> None:
        self._kept: dict[tuple[Timer, State, Values, int], Leap] = {}

    def leap(self, timer: Timer, state: State, inputs: Values, cycles: int) -> Leap:
        """``timer.leap``, or what it gave before."""
        if cycles < LONG_ROWS:
            return timer.leap(state, inputs, cycles)
        key = (timer, state, inputs, cycles)
        found = self._kept.get(key)
        if found is None:
            found = timer.leap(state, inputs, cycles)
            if len(found.offsets) >= LONG_ROWS:
                while len(self._kept) >= KEPT:
                    self._kept.pop(next(iter(self._kept)))
                self._kept[key] = found
        return found
