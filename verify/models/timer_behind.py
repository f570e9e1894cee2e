"""What is driven as the timer behind it."""

from __future__ import annotations

from collections.abc import Mapping

from verify.models.timer_model import Timer
from verify.signals import Signal

__all__ = ["TimerBehind"]


class TimerBehind:
    """A base: its inputs are the timer's, and mean the same."""

    __slots__ = ()

    timer: Timer

    @property
    def inputs(self) -> tuple[Signal, ...]:
        """Those of the timer."""
        return self.timer.inputs

    @property
    def limits(self) -> Mapping[str, int]:
        """Those of the timer."""
        return self.timer.limits

    @property
    def resting(self) -> Mapping[str, int]:
        """As of the timer."""
        return self.timer.resting

    def encode(self, name: str, number: int) -> int:
        """As the timer does."""
        return self.timer.encode(name, number)
