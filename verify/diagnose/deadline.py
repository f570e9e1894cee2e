"""How long a diagnosis may take."""

from __future__ import annotations

import time
from dataclasses import dataclass

from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.kinds import is_placed, is_table
from verify.models.golden import GoldenModel, Leap, State, Values

__all__ = ["SECONDS", "Deadline", "OutOfTime", "timed"]

SECONDS = 4.0
"""Of wall time for one diagnosis; what has been found by then is told."""


class OutOfTime(Exception):
    """A deadline has passed while a model was being played."""


class Deadline:
    """``seconds`` of wall time, of which a share may be set aside for what comes later."""

    def __init__(self, seconds: float = SECONDS) -> None:
        self._began, self._seconds = time.monotonic(), seconds
        self._share = 1.0

    def until(self, share: float) -> None:
        """From now on it ends when so much of it is used up."""
        self._share = share

    @property
    def spent_seconds(self) -> float:
        """Since it began."""
        return time.monotonic() - self._began

    @property
    def left_seconds(self) -> float:
        """Until it is wholly used up, whatever share is set aside."""
        return self._seconds - self.spent_seconds

    @property
    def ended(self) -> bool:
        """The share is used up."""
        return self.spent_seconds > self._seconds * self._share

    def require(self) -> None:
        """Raise :class:`OutOfTime` once it has ended."""
        if self.ended:
            raise OutOfTime


@dataclass(frozen=True, slots=True)
class _Timed(Wrapper):
    """Looks at the clock before every leap."""

    deadline: Deadline

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """As inside, while there is time."""
        self.deadline.require()
        return self.inner.leap(state, inputs, cycles)


@dataclass(frozen=True, slots=True)
class _TimedPlaced(_Timed):
    def placed(self, state: State, cycle: int) -> State:
        """As inside."""
        return self.inner.placed(state, cycle) if is_placed(self.inner) else state


def timed(model: GoldenModel, deadline: Deadline) -> GoldenModel:
    """``model``, whose playing raises :class:`OutOfTime` once the deadline has passed."""
    if is_table(model):
        return model
    return _TimedPlaced(model, deadline) if is_placed(model) else _Timed(model, deadline)
