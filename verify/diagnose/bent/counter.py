"""A counter made of digits that break the rules of a chain."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Any

from verify.diagnose.bent.bends import STRAIGHT, Bend
from verify.diagnose.bent.events import event_leap
from verify.models.counter_face import Face, pack
from verify.models.counter_model import UNPROMISED, Counter
from verify.models.golden import Leap, State, Values

__all__ = ["BentCounter", "bent_counter"]


@dataclass(frozen=True, slots=True)
class BentCounter(Counter):
    """``bends``: one per digit; ``radices``: states of each digit, as the faulty design has them.

    State: the digits, then carry register, known, and one register per late digit. The whole number
    wraps where a proper counter does, if ``whole_wrap``, and counting up it goes on at ``wraps_to``.
    """

    bends: tuple[Bend, ...] = ()
    radices: tuple[int, ...] = ()
    whole_wrap: bool = True
    wraps_to: int = 0
    _late: tuple[int, ...] = field(init=False, repr=False, compare=False, default=())

    def __post_init__(self) -> None:
        Counter.__post_init__(self)
        object.__setattr__(self, "_late", tuple(i for i, b in enumerate(self.bends) if b.late))

    @property
    def _count(self) -> int:
        return len(self.radices)

    def _digits(self, number: int) -> list[int]:
        face = Face(self.face.radices, self.face.packed, self.face.widths)
        return [int(d) for d in face.digits(number)]

    def initial(self) -> State:
        """The digits of the start."""
        number, wrapped, known = self.power_up
        return (*self._digits(number), wrapped, known, *(0 for _ in self._late))

    def after_reset(self, state: State) -> State:
        """A digit without reset keeps its value."""
        after = list(self.initial())
        for i, bend in enumerate(self.bends):
            if bend.reset != "kept":
                after[i] = state[i]
        return tuple(after)

    def after_held(self, state: State, inputs: Values) -> State:  # noqa: ARG002
        """A digit whose reset waits for the clock edge has it behind it."""
        start = self.initial()
        waiting = [i for i, bend in enumerate(self.bends) if bend.reset == "waits"]
        return tuple(start[i] if i in waiting else value for i, value in enumerate(state))

    @property
    def outlives_reset(self) -> bool:
        """Something in it keeps its value through a reset."""
        return any(bend.reset != "kept" for bend in self.bends)

    def _at_wrap(self, digits: State, up: Any) -> bool:
        return list(digits) == (self._digits(self.modulo - 1) if up else [0] * self._count)

    def out(self, state: State, inputs: Values) -> Values:
        """The digits, and the carry."""
        digits = list(state[: self._count])
        wrapped = state[self._count]
        words: Values = (pack(digits),) if self.face.packed else tuple(digits)
        words = tuple(w & s.mask for w, s in zip(words, self.outputs, strict=False))
        if self.carry is None:
            return words
        if self.carry == "after_wrap":
            return (*words, int(wrapped == 1))
        high = int(self._at_wrap(state[: self._count], self._up(inputs)))
        if self.carry == "last_state_and_enable":
            high &= self._control(inputs, "enable")
        return (*words, high)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As a counter's."""
        wrapped, known = state[self._count], state[self._count + 1]
        lost = False
        if self.carry == "after_wrap":
            lost = wrapped == UNPROMISED
        elif self.carry == "last_state_and_enable":
            taken = self._control(inputs, "clear") | self._control(inputs, "load")
            ends = self._at_wrap(state[: self._count], self._up(inputs))
            lost = bool(taken and self._control(inputs, "enable") and ends)
        masks = [signal.mask if known else 0 for signal in self.outputs]
        if self.carry is not None and lost:
            masks[-1] = 0
        return tuple(masks)

    def next(self, state: State, inputs: Values) -> State:
        """Each digit by its own rules."""
        count = self._count
        digits, known, pipes = state[:count], state[count + 1], state[count + 2 :]
        enable, up = bool(self._control(inputs, "enable")), bool(self._up(inputs))
        clear, load = bool(self._control(inputs, "clear")), bool(self._control(inputs, "load"))
        winner = self._winner(enable=enable, clear=clear, load=load)
        wanted = self._wanted(digits, up=up, enable=enable)
        wraps = self._at_wrap(digits, up)
        whole = self.whole_wrap and wraps and enable
        goal = self._digits(self.wraps_to) if up else self._digits(self.modulo - 1)
        loaded, legal = self._taken(inputs) if load else (digits, 1)
        following, held = [], []
        for i, (value, bend) in enumerate(zip(digits, self.bends, strict=True)):
            steps = wanted[i]
            if bend.late:
                before = pipes[self._late.index(i)]
                steps = bool(before) and (enable or not bend.late_waits)
                held.append(
                    self._pipe(bend, before, wanted[i], enable=enable, replaced=winner in {"clear", "load"})
                )
            stepped = self._moved(i, value, up=up) if steps else value
            if whole and not (bend.late or bend.stuck or bend.unturned):
                stepped = goal[i]
            if winner == "clear":
                cleared = self._digits(self.cleared)[i]
                stepped = {"kept": cleared, "holds": value, "steps": stepped}[bend.clear]
            elif winner == "load":
                stepped = {"kept": loaded[i], "holds": value, "steps": stepped}[bend.load]
            following.append(stepped)
        if winner == "clear":
            known = 1
        elif winner == "load":
            known = legal
        wrapped = 0
        if self.carry == "after_wrap" and enable and wraps:
            wrapped = UNPROMISED if winner in {"clear", "load"} else 1
        return (*following, wrapped, known, *held)

    @staticmethod
    def _pipe(bend: Bend, before: int, wanted: bool, *, enable: bool, replaced: bool) -> int:
        if bend.late_emptied and replaced:
            return 0
        if bend.late_waits and not enable:
            return before
        return int(wanted)

    def _winner(self, *, enable: bool, clear: bool, load: bool) -> str:
        """The control that has its way; ``enable`` low is one that holds."""
        asked = {"clear": clear, "load": load, "enable": not enable}
        return next((name for name in self.priority if asked[name]), "")

    def _taken(self, inputs: Values) -> tuple[State, int]:
        number, legal = self._loaded(inputs[self._at["load_value"]])
        return tuple(self._digits(int(number) if legal else 0)), int(legal)

    def _wanted(self, digits: State, *, up: bool, enable: bool) -> list[bool]:
        carries = [self._carries(i, v, up=up) for i, v in enumerate(digits)]
        found = []
        for i, bend in enumerate(self.bends):
            below = range(i) if bend.waits_for is None else bend.waits_for
            found.append((enable or bend.heedless) and not bend.stuck and all(carries[j] for j in below))
        return found

    def _carries(self, digit: int, value: int, *, up: bool) -> bool:
        at = self.bends[digit].carry_at
        if at is not None:
            return value == at
        return value == (self.radices[digit] - 1 if up != self.bends[digit].backwards else 0)

    def _moved(self, digit: int, value: int, *, up: bool) -> int:
        radix, bend = self.radices[digit], self.bends[digit]
        rises = up != bend.backwards
        if value == (radix - 1 if rises else 0):
            proper = 0 if rises else radix - 1
            return proper if bend.wrap_to is None else bend.wrap_to
        return (value + 1 if rises else value - 1) & 15

    def quiet(self, state: State, inputs: Values) -> int:  # noqa: ARG002 -- the contract's signature
        """A counter that counts is never quiet."""
        return 0

    def stretch(self, state: State, inputs: Values, cycles: int) -> tuple[int, Leap] | None:  # noqa: ARG002
        """Nothing in one piece."""
        return None

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """Step by step, in whole rounds once a state comes again."""
        return event_leap(self, state, inputs, cycles)


def bent_counter(counter: Counter, **changes: Any) -> BentCounter:
    """``counter``, which has digits, with room for bends; ``changes`` as for ``dataclasses.replace``."""
    given = {f.name: getattr(counter, f.name) for f in fields(Counter) if f.init}
    if isinstance(counter, BentCounter):
        extra: dict[str, Any] = {f.name: getattr(counter, f.name) for f in fields(BentCounter) if f.init}
    else:
        count = len(counter.face.radices)
        extra = {"bends": (STRAIGHT,) * count, "radices": counter.face.radices}
        extra["whole_wrap"] = counter.modulo < counter.face.numbers
    return BentCounter(**{**given, **extra, **changes})
