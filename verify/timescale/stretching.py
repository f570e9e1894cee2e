"""What was driven at one ratio, driven at another: at the same steps, as near to them."""

from __future__ import annotations

import numpy as np

from verify.signals import Stimulus

__all__ = ["stretched"]


def stretched(stimulus: Stimulus, before: int, after: int) -> Stimulus:
    """``stimulus`` for a period of ``before`` clocks, for one of ``after``.

    Every run keeps its whole periods, and the clocks that it is longer or shorter than those: a clear
    that met a carry meets it again.
    """
    periods = (stimulus.cycles + (before - 1) // 2) // before
    cycles = np.maximum(stimulus.cycles + periods * (after - before), 1)
    return Stimulus(stimulus.signals, cycles, stimulus.reset, stimulus.values)
