"""A converter that is started, works for some clocks, and says when it is done.

Promised: a start that is taken captures the number at that edge, done comes within a deadline, and
from then on the digits are right until the next start is taken. How many clocks it works is the
design's own choice, so that is read off the observation, conversion by conversion.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from verify.models.bcd_converter import Converter
from verify.models.bcd_handshake import Handshake, Roles, Schedule
from verify.models.golden import Leap, State, Values
from verify.models.walking import walk
from verify.signals import ObservedTrace, Signal, Stimulus, width_mask

__all__ = ["SequentialConverter"]

LONG_AGO = 3
"""Clocks since done, as far as they matter: more than any ``ready`` or ``busy_until``."""

NEVER = 1 << 62
"""More cycles than any run has."""

NOTHING, RESULT, UNKNOWN = range(3)
"""What the result is since reset: none yet, a promised one, or one that is anybody's guess."""


@dataclass(frozen=True, slots=True)
class _At:
    """The state, unpacked.

    ``cycle``: of the observation that is followed, else 0. ``left``: clocks to done, 0 when no
    conversion is going on. ``value``: the number taken last. ``since``: clocks since done, at most
    ``LONG_AGO``; above that, the clocks to go until a converter that starts itself begins.
    ``result``: see above. ``pressed``: start was high in the cycle before, kept only where it
    matters. ``spoiled``: clocks for which nothing is known.
    """

    cycle: int = 0
    left: int = 0
    value: int = 0
    since: int = LONG_AGO
    result: int = NOTHING
    pressed: int = 0
    spoiled: int = 0

    @property
    def state(self) -> State:
        return (self.cycle, self.left, self.value, self.since, self.result, self.pressed, self.spoiled)


@dataclass(frozen=True, slots=True)
class SequentialConverter:
    """The machine around a :class:`Converter`.

    ``max_cycles``: deadline from the cycle of the start to that of done. ``clocks``: conversion time
    while no observation is followed. Without a start role the converter starts itself.
    """

    converter: Converter
    roles: Roles
    max_cycles: int
    holds_result: bool = True
    while_busy: str = "ignore"
    handshake: Handshake = field(default_factory=Handshake)
    clocks: int = 1
    schedule: Schedule | None = None

    @property
    def inputs(self) -> tuple[Signal, ...]:
        """``binary``, ``start``."""
        return self.converter.inputs + ((Signal("start", 1),) if self.roles.start else ())

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """The digits, ``done``, ``busy``."""
        names = [name for name in ("done", "busy") if getattr(self.roles, name)]
        return self.converter.outputs + tuple(Signal(name, 1) for name in names)

    @property
    def limits(self) -> Mapping[str, int]:
        """As of the converter."""
        return self.converter.limits

    @property
    def resting(self) -> Mapping[str, int]:
        """Nothing is started."""
        return {s.name: 0 for s in self.inputs}

    @property
    def full_cycle(self) -> int:
        """Clocks in which a conversion is over and the next may begin.

        Of a design that does not say when: so many that the result is there at every time that a
        model may allow it, or a wrong one would never be compared.
        """
        clocks = self.clocks if self.roles.tells else self.max_cycles
        return clocks + self.handshake.delay + LONG_AGO

    def landmarks(self) -> tuple[int, ...]:
        """When a conversion started right after reset is about to be over."""
        return (self.clocks,)

    def encode(self, name: str, number: int) -> int:  # noqa: ARG002 -- the contract's signature
        """The number itself."""
        return number

    def follow(self, stimulus: Stimulus, observed: ObservedTrace) -> SequentialConverter:  # noqa: ARG002
        """The converter that takes as long for each conversion as ``observed`` did, deadline apart."""
        if not self.roles.tells:
            return self
        return replace(self, schedule=Schedule.read(observed, self.roles, self.handshake.delay))

    def initial(self) -> State:
        """Idle, nothing converted yet."""
        return _At(since=LONG_AGO + self.handshake.first).state

    def placed(self, state: State, cycle: int) -> State:
        """``state`` for a cycle of the observation that is followed: after a reset, or at its start."""
        if self.schedule is None:
            return state
        at = replace(_At(*state), cycle=cycle)
        if at.left:
            coming = self.schedule.next(cycle)
            left = at.left if coming is None else min(coming - cycle, at.left)
            at = replace(at, left=left) if left else replace(at, left=0, since=0, result=RESULT)
        return at.state

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the contract's signature
        """The digits of the number taken last, done, busy."""
        at = _At(*state)
        values = self.converter.out((), (at.value,))
        if self.roles.done:
            values += (int(self._done(at)),)
        if self.roles.busy:
            values += (int(at.left > 0 or at.since < self.handshake.busy_until),)
        return values

    def cares(self, state: State, inputs: Values) -> Values:  # noqa: ARG002
        """The digits are promised from done to the next start, done and busy nearly always."""
        at = _At(*state)
        flags = (int(not at.spoiled),) * (self.roles.done + self.roles.busy)
        widths = self.converter.ports.widths
        if not self._shows_result(at):
            return (0,) * len(widths) + flags
        digits = self.converter.cares((), (at.value,))
        return (tuple(width_mask(w) for w in widths) if digits is None else digits) + flags

    def next(self, state: State, inputs: Values) -> State:
        """Take a start, or get on with the conversion, or age."""
        at = _At(*state)
        asked = self._asked(at, inputs)
        pressed = self._start(inputs) if self.handshake.rising else 0
        cycle = 0 if self.schedule is None else at.cycle + 1
        if asked and (self.while_busy == "restart" or self._idle(at)):
            left = self._duration(at.cycle) - 1
            result = at.result if left else RESULT
            return _At(cycle, left, inputs[0], LONG_AGO if left else 0, result, pressed).state
        if at.spoiled or (asked and self.while_busy == "any"):
            # By the deadline the conversion is over, whether that start was taken or not.
            spoiled = self._open_cycles if asked else at.spoiled - 1
            return _At(cycle, result=UNKNOWN, pressed=pressed, spoiled=spoiled).state
        if at.left:
            last = at.left == 1
            result = RESULT if last else at.result
            return _At(cycle, at.left - 1, at.value, 0 if last else LONG_AGO, result, pressed).state
        waits = self.handshake.done == "acknowledged" and at.since == 0 and self._start(inputs)
        older = at.since - 1 if at.since > LONG_AGO else min(at.since + 1, LONG_AGO)
        since = 0 if waits else older
        return replace(at, cycle=cycle, since=since, pressed=pressed).state

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """From one event to the next."""
        return walk(self, state, inputs, cycles)

    def quiet(self, state: State, inputs: Values) -> int:
        """Cycles for which the outputs stay as they are and nothing but counting happens."""
        at = _At(*state)
        asked = self._asked(at, inputs)
        if self.handshake.rising and at.pressed != self._start(inputs):
            return 0
        if at.spoiled and asked:
            return NEVER if at.spoiled == self._open_cycles else 0
        if at.spoiled:
            return at.spoiled - 1
        if at.left:
            return 0 if asked and self.while_busy != "ignore" else at.left - 1
        return NEVER if at.since == LONG_AGO and not asked else 0

    def skip(self, state: State, inputs: Values, cycles: int) -> State:
        """Only clocks are counted."""
        at = _At(*state)
        cycle = 0 if self.schedule is None else at.cycle + cycles
        if at.spoiled and self._asked(at, inputs):
            return replace(at, cycle=cycle).state
        return replace(
            at, cycle=cycle, left=max(at.left - cycles, 0), spoiled=max(at.spoiled - cycles, 0)
        ).state

    @property
    def _open_cycles(self) -> int:
        """For how long nothing is known after a start that may or may not have been taken."""
        return self.max_cycles + LONG_AGO

    def _start(self, inputs: Values) -> int:
        return inputs[1] if self.roles.start else 1

    def _asked(self, at: _At, inputs: Values) -> bool:
        return bool(self._start(inputs)) and not (self.handshake.rising and at.pressed)

    def _idle(self, at: _At) -> bool:
        return at.left == 0 and self.handshake.ready <= at.since <= LONG_AGO and not at.spoiled

    def _done(self, at: _At) -> bool:
        if self.handshake.done == "idle":
            return at.left == 0
        if self.handshake.done == "held":
            return at.left == 0 and at.result != NOTHING
        return at.left == 0 and at.since == 0

    def _shows_result(self, at: _At) -> bool:
        if at.left or at.result != RESULT:
            return False
        return self.holds_result or at.since == 0 or (self.roles.done and self._done(at))

    def _duration(self, cycle: int) -> int:
        """Clocks from a start taken in ``cycle`` to done."""
        deadline = max(self.max_cycles - self.handshake.delay, 1)
        if self.schedule is None:
            return min(self.clocks, deadline)
        coming = self.schedule.next(cycle + 1)
        return deadline if coming is None else min(coming - cycle, deadline)
