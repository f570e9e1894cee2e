"""How long a diagnosis may take."""

from __future__ import annotations

import time

__all__ = ["Patience"]

WALL_SHARE = 4
"""On a busy machine the wall clock may run so many times as fast as the processor time."""


class Patience:
    """``seconds`` of processor time of this thread; the wall clock ends it too, but much later.

    Counted so, the same failure is given the same diagnosis on a busy machine.
    """

    def __init__(self, seconds: float) -> None:
        self._until = time.thread_time() + seconds
        self._at_last = time.monotonic() + WALL_SHARE * seconds

    @property
    def ended(self) -> bool:
        """It is over."""
        return time.thread_time() > self._until or time.monotonic() > self._at_last
