"""How long a diagnosis may take."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from verify.diagnose.bent.events import TooLong
from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.kinds import is_placed, is_table
from verify.models.golden import GoldenModel, Leap, State, Values
from verify.models.lookup import NotInTableError

__all__ = ["SECONDS", "Deadline", "OutOfTime", "timed"]

SECONDS = 4.4
"""For one diagnosis; what has been found by then is told."""

OVERTIME = 1.1
"""By the clock on the wall it may take so much longer: under 5 seconds altogether."""


class OutOfTime(Exception):
    """A deadline has passed while a model was being played."""


class Deadline:
    """``seconds`` of work, of which a share may be set aside for what comes later.

    Work is processor time of this thread and time spent waiting for a simulation; on a machine that
    is busy with other things it may take up to ``overtime`` times as long by the clock on the wall.
    """

    def __init__(self, seconds: float = SECONDS, *, overtime: float = OVERTIME) -> None:
        self._seconds, self._overtime, self._share = seconds, overtime, 1.0
        self._began, self._worked = time.monotonic(), time.thread_time()
        self._waited = 0.0

    @contextmanager
    def waiting(self) -> Iterator[None]:
        """Time in which somebody else works."""
        began, worked = time.monotonic(), time.thread_time()
        try:
            yield
        finally:
            self._waited += time.monotonic() - began - (time.thread_time() - worked)

    def until(self, share: float) -> None:
        """From now on it ends when so much of it is used up."""
        self._share = share

    @property
    def spent_seconds(self) -> float:
        """Since it began."""
        worked = time.thread_time() - self._worked + self._waited
        return max(worked, (time.monotonic() - self._began) / self._overtime)

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
        """As inside, while there is time. TooLong, too, where it shows what no table has."""
        self.deadline.require()
        try:
            return self.inner.leap(state, inputs, cycles)
        except NotInTableError:
            raise TooLong from None


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
