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
        self._seconds = seconds
        self._began, self._since = time.thread_time(), time.monotonic()
        self._share = 1.0

    def until(self, share: float) -> None:
        """From now on it ends when so much of it is used up."""
        self._share = share

    @property
    def ended(self) -> bool:
        """It is over."""
        limit = self._seconds * self._share
        spent, passed = time.thread_time() - self._began, time.monotonic() - self._since
        return spent > limit or passed > WALL_SHARE * limit
