"""A control that is heard in its first clock only."""

from __future__ import annotations

from dataclasses import dataclass

from verify.diagnose.bent.inputs import joined_leaps
from verify.diagnose.bent.wrapping import Wrapper
from verify.models.golden import Leap, State, Values

__all__ = ["RisingInput"]


@dataclass(frozen=True, slots=True)
class RisingInput(Wrapper):
    """Input ``index``, of one bit, acts in the cycles in which it has just risen.

    State: that of the model inside, then the value of a clock ago, 0 after a reset.
    """

    index: int = 0

    def _seen(self, before: int, inputs: Values) -> Values:
        heard = int(bool(inputs[self.index]) and not before)
        return (*inputs[: self.index], heard, *inputs[self.index + 1 :])

    def initial(self) -> State:
        """It was low."""
        return (*self.inner.initial(), 0)

    def after_reset(self, state: State) -> State:
        """It was low."""
        return (*Wrapper.after_reset(self, state[:-1]), 0)

    def out(self, state: State, inputs: Values) -> Values:
        """Of what is heard."""
        return self.inner.out(state[:-1], self._seen(state[-1], inputs))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Of what is heard."""
        return self.inner.cares(state[:-1], self._seen(state[-1], inputs))

    def next(self, state: State, inputs: Values) -> State:
        """Of what is heard."""
        inside = self.inner.next(state[:-1], self._seen(state[-1], inputs))
        return (*inside, inputs[self.index])

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """One cycle in which it may be heard, the rest without it."""
        after = inputs[self.index]
        heard, deaf = self._seen(state[-1], inputs), self._seen(1, inputs)
        if heard == deaf or cycles == 1:
            whole = self.inner.leap(state[:-1], heard, cycles)
            return Leap((*whole.state, after), whole.offsets, whole.columns, whole.cares)
        first = self.inner.leap(state[:-1], heard, 1)
        rest = self.inner.leap(first.state, deaf, cycles - 1)
        return joined_leaps(self.outputs, first, rest, (*rest.state, after))
