"""A timer with stages that break the rules of a chain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from typing import Any

from verify.diagnose.bent.bends import STRAIGHT, Bend
from verify.diagnose.bent.events import event_leap
from verify.models.golden import Leap, State, Values
from verify.models.timer_model import Timer

__all__ = ["BentTimer", "bent_timer"]

HEAD = 6
"""Entries of a timer's state before its stages."""

SHORT_STRETCH = 3
"""Steps of the fastest stage that are not worth a leap."""


@dataclass(frozen=True, slots=True)
class BentTimer(Timer):
    """``bends``: one per stage. ``shows_held``: a prescaler that a clear or load holds in its last
    clock shows the tick all the same. ``in_reset``: what a reset does to the prescaler: puts it
    ``back``, leaves it where it ``stands``, or it ``runs`` on meanwhile. ``heedless``: a prescaler
    that a pause stops in its last clock ticks with every clock. State: that of a timer, then one
    register per late stage.
    """

    bends: tuple[Bend, ...] = ()
    shows_held: bool = False
    in_reset: str = "back"
    heedless: bool = False
    _plain: Timer = field(init=False, repr=False, compare=False)
    _late: tuple[int, ...] = field(init=False, repr=False, compare=False, default=())
    _free: int = field(init=False, repr=False, compare=False, default=0)

    def __post_init__(self) -> None:
        Timer.__post_init__(self)
        plain = Timer(**{f.name: getattr(self, f.name) for f in fields(Timer) if f.init})
        object.__setattr__(self, "_plain", plain)
        object.__setattr__(self, "_late", tuple(i for i, b in enumerate(self.bends) if b.late))
        free = min((b.free_below(i) for i, b in enumerate(self.bends)), default=0)
        object.__setattr__(self, "_free", min(free, len(self.bends)))

    @property
    def _size(self) -> int:
        return HEAD + len(self.chain.moduli)

    def initial(self) -> State:
        """As a timer's; nothing is on its way between the stages."""
        return (*self.power_up, *(0 for _ in self._late))

    def after_reset(self, state: State) -> State:
        """A stage or prescaler without reset keeps its value."""
        after = list(self.initial())
        if self.in_reset != "back":
            after[0] = state[0]
        for i, bend in enumerate(self.bends):
            if bend.reset != "kept":
                after[HEAD + i] = state[HEAD + i]
        return tuple(after)

    def after_held(self, state: State, inputs: Values) -> State:
        """A prescaler without reset may count on while reset is held; a stage that waits is reset."""
        waiting = [HEAD + i for i, bend in enumerate(self.bends) if bend.reset == "waits"]
        if waiting:
            state = tuple(self.power_up[i] if i in waiting else value for i, value in enumerate(state))
        if self.in_reset != "runs" or not self.running(inputs, state[HEAD : self._size]):
            return state
        return ((state[0] + 1) % (self.last_phase + 1), *state[1:])

    @property
    def outlives_reset(self) -> bool:
        """Something in it keeps its value through a reset."""
        return self.in_reset != "back" or any(bend.reset != "kept" for bend in self.bends)

    def out(self, state: State, inputs: Values) -> Values:
        """As a timer's, cut to the ports."""
        shown = list(self._plain.out(state[: self._size], inputs))
        if self.shows_held and self.tick == "before":
            enable, clear, load = self.controls(inputs)
            waits = (clear and self.at_clear == "waits") or (load and self.at_load == "waits")
            if waits and enable and state[0] == self.last_phase:
                shown[len(self.shown)] = 1
        if self.heedless and self.tick == "before" and state[0] == self.last_phase:
            shown[len(self.shown)] = 1
        return tuple(v & s.mask for v, s in zip(shown, self.outputs, strict=True))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """As a timer's."""
        return self._plain.cares(state[: self._size], inputs)

    def next(self, state: State, inputs: Values) -> State:
        """As a timer's, each stage by its own rules."""
        core, pipes = state[: self._size], state[self._size :]
        enable, clear, load = self.controls(inputs)
        due, raw = self._dues(core, inputs)
        stages = core[HEAD:]
        after = list(self._plain.next(core, inputs))
        loaded, _ = self._loaded(inputs)
        wanted = self._wanted(stages, due, raw)
        following = []
        for i, (value, bend, steps) in enumerate(zip(stages, self.bends, wanted, strict=True)):
            if bend.stale:
                steps = due and pipes[self._late.index(i)]  # noqa: PLW2901 -- the carry of a step ago
            elif bend.late:
                held = pipes[self._late.index(i)]
                steps = held and (enable or not bend.late_waits)  # noqa: PLW2901 -- the step of a clock ago
            stepped = self._moved(i, value) if steps else value
            if clear:
                stepped = {"kept": self.cleared[i], "holds": value, "steps": stepped}[bend.clear]
            elif load:
                stepped = {"kept": loaded[i], "holds": value, "steps": stepped}[bend.load]
            following.append(stepped)
        if self.chain.cut and due and self.chain.at_end(stages):
            following = following if clear or load else list(self.chain.step(stages, 1))
        after[HEAD:] = following
        if self.heedless and self.tick == "with" and raw and not after[2]:
            after[2] = 1
        return (*after, *self._pipes(pipes, wanted, enable, due, clear or load))

    def _pipes(self, pipes: State, wanted: Sequence[Any], enable: int, due: Any, replaced: int) -> list[int]:
        held = []
        for i, before in zip(self._late, pipes, strict=True):
            bend = self.bends[i]
            if bend.late_emptied and replaced:
                held.append(0)
            elif (bend.late_waits and not enable) or (bend.stale and not due):
                held.append(before)
            else:
                held.append(int(bool(wanted[i])))
        return held

    def _dues(self, core: State, inputs: Values) -> tuple[Any, Any]:
        """Whether the stages are to step, and whether they would be with the enable left out."""
        ticks, _, due = self._due(core, inputs)
        return due, due or (ticks if self.gated else int(core[0] == self.last_phase))

    def _wanted(self, stages: State, due: Any, raw: Any) -> list[Any]:
        """Per stage whether it is to step."""
        ended = self.chain.stops and self.chain.at_end(stages)
        carries = [self._carries(i, v) for i, v in enumerate(stages)]
        found: list[Any] = []
        for i, bend in enumerate(self.bends):
            below = range(i) if bend.waits_for is None else bend.waits_for
            asked = 1 if bend.restless else raw if bend.heedless or self.heedless else due
            found.append(asked and not bend.stuck and not ended and all(carries[j] for j in below))
        return found

    def _down(self, stage: int) -> bool:
        return self.chain.down != self.bends[stage].backwards

    def _carries(self, stage: int, value: int) -> bool:
        at = self.bends[stage].carry_at
        if at is not None:
            return value == at
        return value == (0 if self._down(stage) else self.chain.moduli[stage] - 1)

    def _moved(self, stage: int, value: int) -> int:
        modulo, bend, down = self.chain.moduli[stage], self.bends[stage], self._down(stage)
        if value == (0 if down else modulo - 1):
            proper = modulo - 1 if down else 0
            return proper if bend.wrap_to is None else bend.wrap_to
        return value - 1 if down else value + 1

    def quiet(self, state: State, inputs: Values) -> int:
        """As a timer's, when nothing is on its way between the stages either."""
        if self._on_the_way(state) or self._restless(state[HEAD : self._size]):
            return 0
        if self.heedless or any(b.heedless for b in self.bends):
            return self._quiet_heedless(state, inputs)
        return self._plain.quiet(state[: self._size], inputs)

    def _restless(self, stages: State) -> bool:
        """A stage steps with every clock."""
        if not any(bend.restless for bend in self.bends):
            return False
        wanted = self._wanted(stages, 0, 0)
        return any(steps for steps, bend in zip(wanted, self.bends, strict=True) if bend.restless)

    def _on_the_way(self, state: State) -> bool:
        """A step comes in the next clock by itself."""
        pipes = zip(self._late, state[self._size :], strict=True)
        return any(held and not self.bends[i].stale for i, held in pipes)

    def _quiet_heedless(self, state: State, inputs: Values) -> int:
        enable, _, _ = self.controls(inputs)
        if not enable and state[0] == self.last_phase:
            return 0
        return self._plain.quiet(state[: self._size], inputs)

    def skip(self, state: State, inputs: Values, cycles: int) -> State:  # noqa: ARG002
        """Only the phase moves."""
        return (state[0] + cycles, *state[1:])

    def stretch(self, state: State, inputs: Values, cycles: int) -> tuple[int, Leap] | None:
        """While only the fastest stage moves, the timer is a proper one."""
        enable, clear, load = self.controls(inputs)
        core, stages, pipes = state[: self._size], state[HEAD : self._size], state[self._size :]
        if clear or load or any(pipes):
            return None
        if not self.running(inputs, stages) or (self.gated and not enable) or core[1]:
            return None
        if self._free > 1:
            steps = self._until_carry(stages[: self._free])
        else:
            steps = self._steps_ahead(stages[0]) if self._alone(stages) else 0
        if steps < SHORT_STRETCH:
            return None
        due = self.last_phase - core[0] + self.delay
        length = min(due + (steps - 1) * self.ratio + 1, cycles)
        leap = self._plain.leap(core, inputs, length)
        return length, Leap((*leap.state, *pipes), leap.offsets, leap.columns, leap.cares)

    def _until_carry(self, stages: State) -> int:
        """Steps until all of the lowest stages are in their last state; 0: they are, or cannot get there."""
        steps, weight = 0, 1
        for value, modulo in zip(stages, self.chain.moduli, strict=False):
            if value >= modulo:
                return 0
            steps += weight * (value if self.chain.down else modulo - 1 - value)
            weight *= modulo
        return steps

    def _alone(self, stages: State) -> bool:
        """The fastest stage steps by its rules, and no other one at any step of it."""
        first = self.bends[0]
        if first.late or first.stuck or first.backwards:
            return False
        carries = [self._carries(i, v) for i, v in enumerate(stages)]
        for i, bend in enumerate(self.bends[1:], 1):
            below = range(i) if bend.waits_for is None else bend.waits_for
            if 0 not in below and not bend.stuck and all(carries[j] for j in below):
                return False
        return True

    def _steps_ahead(self, value: int) -> int:
        """Steps of the fastest stage until something else may happen; 0: it may at once."""
        last = 0 if self.chain.down else self.chain.moduli[0] - 1
        if value >= self.chain.moduli[0] or self.chain.cut % self.chain.moduli[0]:
            return 0
        at = self.bends[0].carry_at
        stops = [last] if at is None else [last, at]
        ahead = [(value - s if self.chain.down else s - value) for s in stops]
        return 0 if 0 in ahead or min(ahead) < 0 else min(ahead)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """From event to event."""
        return event_leap(self, state, inputs, cycles)


def bent_timer(timer: Timer, **changes: Any) -> BentTimer:
    """``timer`` with room for bends; ``changes`` as for ``dataclasses.replace``."""
    bends = timer.bends if isinstance(timer, BentTimer) else (STRAIGHT,) * len(timer.chain.moduli)
    given = {f.name: getattr(timer, f.name) for f in fields(Timer) if f.init}
    return BentTimer(**{**given, "bends": bends, **changes})
