"""What a golden model is.

A model is a synchronous machine that says what should happen::

    outputs[k]   = out(state[k], inputs[k])
    state[k + 1] = next(state[k], inputs[k])

Reset is no business of the model: whoever plays it puts it into ``initial()`` (see ``playing``).
``out`` and ``next`` are the readable one-cycle form: plain integer operations and
:func:`select`, so that a symbolic value can stand in for an integer. ``leap`` is the vectorised
form: many cycles of steady inputs at the cost of the changes among them. One property test
(``tests/models/test_conformance.py``) holds the two equal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from verify.signals import Column, ExpectedTrace, ObservedTrace, Signal, Stimulus

__all__ = [
    "SETTLING_CYCLES",
    "CombinationalModel",
    "Dressing",
    "Drivable",
    "FollowingModel",
    "GoldenModel",
    "Guided",
    "InTurns",
    "Leap",
    "Operated",
    "PlacedModel",
    "Resetting",
    "Running",
    "ShowsInReset",
    "State",
    "Values",
    "at_rest",
    "select",
    "under_way",
]

State = tuple[int, ...]
"""Everything a model remembers, as unsigned integers; () for a combinational model."""

Values = tuple[int, ...]
"""One value per input or output signal, in the order of the model's signals."""


def select(condition: Any, then: Any, otherwise: Any) -> Any:
    """``then`` where ``condition`` holds, else ``otherwise``; a symbolic condition decides itself."""
    if isinstance(condition, (bool, int)):
        return then if condition else otherwise
    return condition.select(then, otherwise)


@dataclass(frozen=True, slots=True, eq=False)
class Leap:
    """What a model does over a run of steady inputs.

    ``offsets`` int64[m], strictly increasing from 0: the cycles, counted from the start of the run,
    from which the outputs are those of the same row. ``columns``: one column[m] per output.
    ``cares``: as in :class:`verify.signals.ExpectedTrace`. ``state``: after the last cycle.
    """

    state: State
    offsets: NDArray[np.int64]
    columns: tuple[Column, ...]
    cares: tuple[Column | None, ...] | None = None


@runtime_checkable
class GoldenModel(Protocol):
    """A machine with state; every method is pure."""

    @property
    def inputs(self) -> tuple[Signal, ...]:
        """Control and data inputs, active high, named by role."""
        ...

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """Outputs, active high, named by role."""
        ...

    def initial(self) -> State:
        """The state into which reset puts the model."""
        ...

    def out(self, state: State, inputs: Values) -> Values:
        """The outputs of one cycle."""
        ...

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Per output the mask of bits that are promised in this cycle; None when all are."""
        ...

    def next(self, state: State, inputs: Values) -> State:
        """The state of the following cycle."""
        ...

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """``cycles`` (>= 1) cycles of steady ``inputs`` from ``state``."""
        ...


@runtime_checkable
class CombinationalModel(GoldenModel, Protocol):
    """A model without state, which is evaluated over whole columns of inputs at once."""

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """Outputs and cares (as in :class:`Leap`), row by row, for columns of inputs of one length."""
        ...


@runtime_checkable
class FollowingModel(GoldenModel, Protocol):
    """A model whose data sheet promises a deadline, not a cycle (a converter that says when it is done).

    What is free (in which cycle ``done`` comes, within the deadline) is read off the observation;
    all the rest, the deadline included, is then promised cycle by cycle by the model returned.
    """

    def follow(self, stimulus: Stimulus, observed: ObservedTrace) -> GoldenModel:
        """The model with its free choices made as ``observed`` (over ``outputs``) makes them."""
        ...


@runtime_checkable
class PlacedModel(GoldenModel, Protocol):
    """A model that goes by the cycles of one observation, as :meth:`FollowingModel.follow` returns it."""

    def placed(self, state: State, cycle: int) -> State:
        """``state``, told that the coming cycle is ``cycle`` of the observation."""
        ...


@runtime_checkable
class Dressing(GoldenModel, Protocol):
    """A model whose state is another model's, and whose outputs follow from that one's outputs alone.

    It is played by dressing up a whole trace of ``inner`` at once.
    """

    @property
    def inner(self) -> GoldenModel:
        """The model with the same inputs and states."""
        ...

    def dressed(self, trace: ExpectedTrace) -> ExpectedTrace:
        """The trace of this model for one of ``inner``; rows may repeat."""
        ...


@runtime_checkable
class Resetting(Protocol):
    """A model that keeps something through a reset, as a faulty design does."""

    def after_reset(self, state: State) -> State:
        """The state into which reset puts ``state``; :meth:`GoldenModel.initial` is that of power-up."""
        ...


@runtime_checkable
class ShowsInReset(Protocol):
    """A model that may promise what a registered output shows for as long as reset is held."""

    @property
    def reset_outputs(self) -> tuple[tuple[int, int], ...] | None:
        """Per output the value and the mask of promised bits; None when nothing is promised."""
        ...


@runtime_checkable
class Running(Protocol):
    """A model in which something goes on while reset is held, as in a faulty design."""

    def after_held(self, state: State, inputs: Values) -> State:
        """What becomes of ``state``, which reset has made, in a clock under reset."""
        ...


@runtime_checkable
class Drivable(Protocol):
    """A model that says which inputs make sense; every model of this package is one."""

    @property
    def limits(self) -> Mapping[str, int]:
        """Input name -> largest number to drive; an input that is not named takes all its values."""
        ...

    @property
    def resting(self) -> Mapping[str, int]:
        """Every input's value while nothing is asked of the design: enable 1, clear 0, load 0, up 1."""
        ...


def at_rest(model: GoldenModel) -> Values:
    """All inputs with nothing asked of the design, in their order; 0 where the model does not say."""
    resting: Mapping[str, int] = model.resting if isinstance(model, Drivable) else {}
    return tuple(resting.get(signal.name, 0) for signal in model.inputs)


@runtime_checkable
class Guided(Drivable, Protocol):
    """A stateful model that says when something is about to happen, so that a stimulus can be aimed."""

    def encode(self, name: str, number: int) -> int:
        """The value of input ``name`` that stands for ``number`` (0 to its limit).

        The number itself, unless the input is packed BCD: 59 becomes ``0x59``. A value that stands
        for no number may be driven too; nothing is then promised until the next reset, clear or
        load of a proper value (see ``cares``).
        """
        ...

    @property
    def full_cycle(self) -> int:
        """Clocks for one complete trip through the states, wrap or stop included, all inputs resting."""
        ...

    def landmarks(self) -> tuple[int, ...]:
        """Clocks after reset at which something is about to happen, all inputs resting.

        The state after that many clocks is the last before a terminal count, the rollover of a
        stage or the wrap. Ascending, at most about 200, within ``full_cycle`` or little above.
        """
        ...


@runtime_checkable
class Operated(Guided, Protocol):
    """A model that runs because a button was pressed, so that a pause is more than one input held.

    Its landmarks count from the end of the opening, its inputs at rest since then.
    """

    @property
    def opening(self) -> Mapping[str, int]:
        """Inputs off rest for one clock, so that it runs: :data:`SETTLING_CYCLES` after reset.

        Empty where it runs from reset on.
        """
        ...

    @property
    def pauses(self) -> tuple[str, ...]:
        """The inputs with which it is stopped and goes on."""
        ...

    def gestures(self, name: str, cycles: int) -> Mapping[str, tuple[tuple[int, Mapping[str, int]], ...]]:
        """What can be done with a control of a model that runs, and runs on afterwards.

        What it is for -> (clocks, inputs off rest), one after the other; ``cycles``: for how long.
        """
        ...

    def counted_cycles(self, name: str) -> int:
        """Clocks of a pause made with that input in which it still counts."""
        ...

    def ahead_cycles(self, name: str) -> int:
        """So many clocks earlier than usual a control has to be moved to act in the same clock."""
        ...


SETTLING_CYCLES = 8
"""After a reset, until a design that is let go of late has been let go of."""


def under_way(model: GoldenModel) -> State:
    """The state after reset in which a model runs: after its opening, if it has one."""
    state = model.initial()
    if not isinstance(model, Operated) or not model.opening:
        return state
    resting = at_rest(model)
    pressed = tuple(model.opening.get(s.name, v) for s, v in zip(model.inputs, resting, strict=True))
    return model.leap(model.leap(state, resting, SETTLING_CYCLES).state, pressed, 1).state


@runtime_checkable
class InTurns(Guided, Protocol):
    """A model that shows parts of a number one after the other."""

    @property
    def turns(self) -> int:
        """How many parts there are."""
        ...

    @property
    def turn_cycles(self) -> int:
        """Clocks for which each of them is shown."""
        ...
