"""Tells a simulator that is slow from one that will never answer."""

from __future__ import annotations

import time
from typing import Literal

from verify.simulation.limits import Limits
from verify.simulation.process import Child

__all__ = ["Watch"]


class Watch:
    """Watches over one burst of ``length`` clocks; ``allowed_seconds`` is its wall time."""

    def __init__(self, child: Child, limits: Limits, length: int) -> None:
        self._child = child
        self._limits = limits
        self.allowed_seconds = limits.wait_seconds + length / limits.clocks_per_second
        self._begin = self._last = time.monotonic()
        self._cpu_seconds: float | None = None

    def progress(self) -> None:
        """The simulator read or wrote something."""
        self._last = time.monotonic()
        self._cpu_seconds = None

    def overdue(self) -> bool:
        """Whether the burst has lasted too long in spite of progress."""
        return self._last - self._begin > self.allowed_seconds

    def quiet(self) -> Literal["bad_trace", "hang", "limit"] | None:
        """What to make of a while without progress; to be asked every now and then during it."""
        if self._child.finished():
            return "bad_trace"
        now = time.monotonic()
        cpu_seconds = self._child.cpu_seconds()
        if self._cpu_seconds is None:
            self._cpu_seconds = cpu_seconds
        if (
            cpu_seconds - self._cpu_seconds > self._limits.stall_seconds
            or now - self._last > self._limits.wait_seconds
        ):
            return "hang"
        return "limit" if now - self._begin > self.allowed_seconds else None
