"""Golden models of the user's own: one class with a few methods becomes a family like the built-in ones.

The class says ``inputs`` and ``outputs`` (tuples of :class:`verify.signals.Signal`), ``out(state,
inputs)`` and, unless it is combinational, ``initial()`` and ``next(state, inputs)``, as in
:class:`verify.models.golden.GoldenModel`. ``cares``, ``limits`` and ``resting`` are optional. What
its constructor takes by keyword, with a default, are its options.
"""

from __future__ import annotations

import inspect
import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol, cast

import numpy as np

from verify.models.family import Candidate, OptionError, OptionSpec, RoleSpec, Shape
from verify.models.golden import Leap, State, Values
from verify.models.stateless import Stateless
from verify.models.walking import rows
from verify.signals import Column, ObservedTrace, Signal, Stimulus, column

__all__ = ["Guard", "OwnFamily", "OwnMachine", "OwnTable", "check_own"]

_LONGEST_REST_CYCLES = 20_000
_MOST_LANDMARKS = 60


class Guard(Protocol):
    """How the user's code is called, and how a breach of the contract is told."""

    def __call__(self, call: Callable[[], Any]) -> Any:
        """The result of ``call``; what it raises comes with its place in the user's file."""
        ...

    def wrong(self, message: str) -> Exception:
        """An error that says in one sentence what a golden model does not do."""
        ...


@dataclass(frozen=True, eq=False)
class _Own:
    """Calls into the user's object, each with its result looked at."""

    made: Any
    inputs: tuple[Signal, ...]
    outputs: tuple[Signal, ...]
    guard: Guard

    @property
    def limits(self) -> Mapping[str, int]:
        """As the class says; otherwise all values."""
        return dict(getattr(self.made, "limits", {}))

    @property
    def resting(self) -> Mapping[str, int]:
        """As the class says; otherwise an enable rests at 1 and everything else at 0."""
        usual = {s.name: int(s.name in {"enable", "up"}) for s in self.inputs}
        return {**usual, **dict(getattr(self.made, "resting", {}))}

    def out(self, state: State, inputs: Values) -> Values:
        """The outputs of one cycle."""
        values = self.guard(lambda: tuple(int(v) for v in self.made.out(state, inputs)))
        if len(values) != len(self.outputs):
            raise self.guard.wrong(
                f"out() gave {len(values)} values, expected {len(self.outputs)}, one per output"
            )
        for value, signal in zip(values, self.outputs, strict=True):
            if not 0 <= value <= signal.mask:
                raise self.guard.wrong(
                    f"out() gave {value} for {signal.name}, expected 0 to {signal.mask} ({signal.width} bits)"
                )
        return cast(Values, values)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As the class says; otherwise everything is promised."""
        if not hasattr(self.made, "cares"):
            return None
        masks = self.guard(lambda: self.made.cares(state, inputs))
        return None if masks is None else tuple(int(mask) for mask in masks)


@dataclass(frozen=True, eq=False)
class OwnMachine(_Own):
    """A model with state. What is about to happen at rest is found by letting it run."""

    _rest: list[tuple[int, tuple[int, ...]]] = field(default_factory=list, repr=False)

    def initial(self) -> State:
        """The state after reset."""
        return self._state(self.guard(self.made.initial), "initial()")

    def next(self, state: State, inputs: Values) -> State:
        """The state of the following cycle."""
        return self._state(self.guard(lambda: self.made.next(state, inputs)), "next()")

    def _state(self, found: Any, who: str) -> State:
        if not isinstance(found, tuple) or not all(
            isinstance(v, (int, np.integer)) and v >= 0 for v in found
        ):
            raise self.guard.wrong(f"{who} gave {found!r}, expected a tuple of integers from 0")
        return tuple(int(value) for value in found)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """Cycle by cycle, until nothing changes any more."""
        offsets: list[int] = []
        shown: list[tuple[Values, Values | None]] = []
        for cycle in range(cycles):
            now = (self.out(state, inputs), self.cares(state, inputs))
            if not shown or shown[-1] != now:
                offsets.append(cycle)
                shown.append(now)
            following = self.next(state, inputs)
            if following == state:
                break
            state = following
        return rows(self.outputs, state, offsets, [v for v, _ in shown], [c for _, c in shown])

    def encode(self, name: str, number: int) -> int:  # noqa: ARG002 -- the contract's signature
        """The number itself."""
        return number

    @property
    def full_cycle(self) -> int:
        """Clocks at rest until the first state comes again or nothing changes any more."""
        return self._at_rest()[0]

    def landmarks(self) -> tuple[int, ...]:
        """The clocks before which an output changes at rest; of many, the first, the last and some."""
        return self._at_rest()[1]

    def _at_rest(self) -> tuple[int, tuple[int, ...]]:
        if not self._rest:
            self._rest.append(self._followed())
        return self._rest[0]

    def _followed(self) -> tuple[int, tuple[int, ...]]:
        resting = tuple(self.resting[s.name] for s in self.inputs)
        first = state = self.initial()
        before, changes = None, []
        cycle = 0
        for cycle in range(_LONGEST_REST_CYCLES):
            shown = self.out(state, resting)
            if before is not None and shown != before:
                changes.append(max(cycle - 1, 0))
            before = shown
            following = self.next(state, resting)
            if following == state or (cycle and following == first):
                break
            state = following
        marks = sorted({*changes, cycle})
        if len(marks) > _MOST_LANDMARKS:
            step = len(marks) // (_MOST_LANDMARKS // 2)
            marks = sorted({*marks[:10], *marks[::step], *marks[-10:]})
        return cycle + 1, tuple(marks)


@dataclass(frozen=True, eq=False)
class OwnTable(_Own, Stateless):
    """A model without state."""

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """Row by row, each different row once."""
        known: dict[Values, tuple[Values, Values | None]] = {}
        found = []
        for values in zip(*(c.tolist() for c in columns), strict=True):
            if values not in known:
                known[values] = (self.out((), values), self.cares((), values))
            found.append(known[values])
        outputs = tuple(column([v[i] for v, _ in found], s.width) for i, s in enumerate(self.outputs))
        if all(mask is None for _, mask in found):
            return outputs, None
        whole = tuple(s.mask for s in self.outputs)
        masks = [mask or whole for _, mask in found]
        return outputs, tuple(column([m[i] for m in masks], s.width) for i, s in enumerate(self.outputs))


class OwnFamily:
    """The family that one class makes."""

    def __init__(self, name: str, made_by: Callable[..., Any], guard: Guard, about: str) -> None:
        self.name, self.about = name, about
        self._made_by, self._guard = made_by, guard
        self.options = tuple(_option(p, guard) for p in inspect.signature(made_by).parameters.values())
        plain = self._model({})
        self.stateful = isinstance(plain, OwnMachine)
        self.roles = (
            *(RoleSpec(s.name, "input", f"{s.width} bits", control=s.width == 1) for s in plain.inputs),
            *(RoleSpec(s.name, "output", f"{s.width} bits", control=s.width == 1) for s in plain.outputs),
        )
        check_own(plain)

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,  # noqa: ARG002 -- makes no difference here
        observed: tuple[Stimulus, ObservedTrace] | None = None,  # noqa: ARG002 -- nothing is read off
    ) -> tuple[Candidate, ...]:
        """The one model that the options make."""
        model = self._model(options)
        for signal in (*model.inputs, *model.outputs):
            widths = shape.get(signal.name)
            if widths is None:
                raise OptionError(
                    signal.name, "no port", f"a port of {signal.width} bits: every signal is bound"
                )
            if widths != (signal.width,):
                raise OptionError(signal.name, f"{widths[0]} bits", f"{signal.width} bits, as the model says")
        return (Candidate(model),)

    def _model(self, options: Mapping[str, Any]) -> OwnMachine | OwnTable:
        made = self._guard(lambda: self._made_by(**options))
        inputs, outputs = (self._signals(made, which) for which in ("inputs", "outputs"))
        if not outputs:
            raise self._guard.wrong("outputs is empty, expected at least one Signal")
        if not hasattr(made, "out"):
            raise self._guard.wrong("the class has no method out(state, inputs)")
        if hasattr(made, "next") != hasattr(made, "initial"):
            raise self._guard.wrong(
                "initial() and next(state, inputs) belong together: the class has one of them"
            )
        kind = OwnMachine if hasattr(made, "next") else OwnTable
        return kind(made, inputs, outputs, self._guard)

    def _signals(self, made: Any, which: str) -> tuple[Signal, ...]:
        found = self._guard(lambda: getattr(made, which, None))
        if not isinstance(found, tuple) or not all(isinstance(s, Signal) for s in found):
            raise self._guard.wrong(f"{which} is {found!r}, expected a tuple of Signal(name, width)")
        return found


def _option(parameter: inspect.Parameter, guard: Guard) -> OptionSpec:
    default = parameter.default
    if default is inspect.Parameter.empty:
        raise guard.wrong(f"the constructor's {parameter.name} has no default, and every option needs one")
    if isinstance(default, bool):
        return OptionSpec(parameter.name, "flag", "option of the class", default=default)
    if isinstance(default, int):
        return OptionSpec(parameter.name, "number", "option of the class", default=default)
    if isinstance(default, (list, tuple)):
        return OptionSpec(parameter.name, "numbers", "option of the class", default=list(default))
    raise guard.wrong(
        f"the constructor's {parameter.name} defaults to {default!r}, expected a number, a flag or a list"
    )


def check_own(model: OwnMachine | OwnTable, *, cycles: int = 300) -> None:
    """Hold a model to its contract: widths hold, the same call gives the same answer, states are plain.

    Raises what ``model.guard`` makes of what was found.
    """
    if isinstance(model, OwnMachine):
        model.landmarks()  # runs it at rest, every value looked at
    rng = np.random.default_rng(1)
    state: State = model.initial()
    if model.initial() != state:
        raise model.guard.wrong(
            f"initial() gave {state} and then {model.initial()}: it must not remember anything"
        )
    for cycle in itertools.count():
        values = tuple(
            int(rng.integers(0, min(model.limits.get(s.name, s.mask), 1 << 60) + 1)) for s in model.inputs
        )
        out, following = model.out(state, values), model.next(state, values)
        if model.out(state, values) != out:
            raise model.guard.wrong(
                f"out({state}, {values}) gives two answers: it must not remember anything"
            )
        if model.next(state, values) != following:
            raise model.guard.wrong(
                f"next({state}, {values}) gives two answers: it must not remember anything"
            )
        masks = model.cares(state, values)
        if masks is not None and len(masks) != len(model.outputs):
            raise model.guard.wrong(
                f"cares() gave {len(masks)} masks, expected {len(model.outputs)}, one per output"
            )
        state = following
        if cycle >= cycles:
            return
