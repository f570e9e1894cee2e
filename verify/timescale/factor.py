"""Choose the speed-up factor."""

from __future__ import annotations

__all__ = ["SMALLEST_RATIO", "choose_factor"]

SMALLEST_RATIO = 4
"""Clocks per unit that are left: enough for a terminal count, a reload and a register between."""


def choose_factor(native: int) -> int:
    """The largest whole factor that leaves a parameter of value ``native`` at least at 4."""
    for ratio in range(SMALLEST_RATIO, native + 1):
        if native % ratio == 0:
            return native // ratio
    return 1
