"""Timers that lose what a pause should keep, or keep what a load should take back."""

from __future__ import annotations

from dataclasses import dataclass

from verify.diagnose.bent.events import event_leap
from verify.diagnose.bent.wrapping import Wrapper
from verify.models.golden import Leap, State, Values
from verify.models.timer_model import Timer

__all__ = ["LosingPause", "StickyDone"]


@dataclass(frozen=True, slots=True)
class LosingPause(Wrapper):
    """A timer whose prescaler is emptied in every clock of a pause; ``inner`` is a :class:`Timer`."""

    @property
    def innermost(self) -> bool:
        """Other wrappers go around it."""
        return True

    @property
    def _timer(self) -> Timer:
        assert isinstance(self.inner, Timer)  # noqa: S101 -- made by the vocabulary of timers
        return self.inner

    def next(self, state: State, inputs: Values) -> State:
        """As the timer's; in a pause the prescaler goes back."""
        after = self.inner.next(state, inputs)
        if self._timer.controls(inputs)[0]:
            return after
        return (0, 0, *after[2:])

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """A pause is a cycle of it, then nothing moves."""
        if self._timer.controls(inputs)[0]:
            return self.inner.leap(state, inputs, cycles)
        return event_leap(self, state, inputs, cycles)

    def quiet(self, state: State, inputs: Values) -> int:  # noqa: ARG002 -- the contract's signature
        """In a pause the state comes to rest by itself."""
        return 0

    def skip(self, state: State, inputs: Values, cycles: int) -> State:  # noqa: ARG002
        """Not called."""
        return state

    def stretch(self, state: State, inputs: Values, cycles: int) -> tuple[int, Leap] | None:  # noqa: ARG002
        """Nothing in one piece."""
        return None


@dataclass(frozen=True, slots=True)
class StickyDone(Wrapper):
    """A timer whose ``done``, its last output, stays high once it was high, until a reset.

    State: that of the timer, then 1 once it was.
    """

    def initial(self) -> State:
        """It was not."""
        return (*self.inner.initial(), 0)

    def after_reset(self, state: State) -> State:
        """It was not."""
        return (*Wrapper.after_reset(self, state[:-1]), 0)

    def out(self, state: State, inputs: Values) -> Values:
        """The timer's, done high for ever."""
        shown = self.inner.out(state[:-1], inputs)
        return (*shown[:-1], shown[-1] | state[-1])

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As the timer's."""
        return self.inner.cares(state[:-1], inputs)

    def next(self, state: State, inputs: Values) -> State:
        """As the timer's."""
        shown = self.inner.out(state[:-1], inputs)
        return (*self.inner.next(state[:-1], inputs), state[-1] | shown[-1])

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The timer's leap, its last column accumulated."""
        leap = self.inner.leap(state[:-1], inputs, cycles)
        done = leap.columns[-1].copy()
        if state[-1]:
            done[:] = 1
        elif done.any():
            done[int(done.argmax()) :] = 1
        return Leap((*leap.state, int(done[-1])), leap.offsets, (*leap.columns[:-1], done), leap.cares)
