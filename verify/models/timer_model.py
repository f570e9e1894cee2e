"""The golden model of a timer: a prescaler and a chain of stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from verify.models.controls import position, resting_values
from verify.models.golden import Leap, State, Values, select
from verify.models.timer_chain import Chain
from verify.models.timer_leap import timer_landmarks, timer_leap
from verify.signals import Signal

__all__ = ["Done", "Prescaler", "Tick", "Timer"]

Tick = Literal["before", "with", "always_before", "always_with"]
"""Where the tick is high: in the last clock before the stages step, or in the first one after;
``always``: also for the ticks that a pause keeps from the stages."""

Done = Literal["level", "reached", "after", "at_step"]
"""``level``: at the end. ``reached``: from reaching the end by counting until the next reset, clear
or load. ``after``: in the first clock after the step to the end (after the wrap, if it wraps).
``at_step``: in the last clock before the wrap."""

Prescaler = Literal["back", "runs", "waits"]
"""What a clear or load does to the prescaler: puts it back as reset does, leaves it running, or lets
it stand in the clocks in which the stages are cleared or loaded."""

UNPROMISED = 2
"""A register that a clear or load at the moment of a step has made uncertain."""


@dataclass(frozen=True, slots=True)
class Timer:
    """One step every ``ratio`` clocks.

    State: phase of the prescaler (0 to ``ratio`` + ``lead`` - 1), ticks on their way (bit 0 the
    youngest), tick and done registers, 1 while the phase is not known, 1 while the stages are not
    known, and the stages, fastest first.

    ``shown``: which stages have an output. ``lead``: clocks that a reset or clear puts before the
    first period. ``delay``: clocks that a tick takes to the stages, pause or not. ``gated``: a pause
    lets the prescaler run on and takes the ticks away. ``at_clear``, ``at_load``: what happens to
    the prescaler. ``stands``: at the end the prescaler stands too.
    """

    inputs: tuple[Signal, ...]
    outputs: tuple[Signal, ...]
    ratio: int
    chain: Chain
    shown: tuple[int, ...]
    cleared: tuple[int, ...]
    lead: int = 0
    delay: int = 0
    gated: bool = False
    at_clear: Prescaler = "back"
    at_load: Prescaler = "back"
    stands: bool = False
    tick: Tick | None = None
    done: Done | None = None
    power_up: State = ()
    _controls: tuple[int, int, int] = field(init=False, repr=False, compare=False, default=(-1, -1, -1))
    _loads: tuple[tuple[int, int], ...] = field(init=False, repr=False, compare=False, default=())

    def __post_init__(self) -> None:
        controls = tuple(position(self.inputs, name) for name in ("enable", "clear", "load"))
        loads = [(stage, position(self.inputs, f"load_values[{i}]")) for i, stage in enumerate(self.shown)]
        object.__setattr__(self, "_controls", controls)
        object.__setattr__(self, "_loads", tuple(pair for pair in loads if pair[1] >= 0))

    @property
    def last_phase(self) -> int:
        """The phase in whose clock a tick arises."""
        return self.ratio + self.lead - 1

    def initial(self) -> State:
        """As after reset."""
        return self.power_up

    def controls(self, inputs: Values) -> tuple[Any, Any, Any]:
        """enable, clear and load."""
        enable, clear, load = self._controls
        return (
            inputs[enable] if enable >= 0 else 1,
            inputs[clear] if clear >= 0 else 0,
            inputs[load] if load >= 0 else 0,
        )

    def emptied(self, clear: Any, load: Any) -> Any:
        """Whether the prescaler and the ticks on their way are put back."""
        return select(clear, int(self.at_clear == "back"), load & int(self.at_load == "back"))

    def running(self, inputs: Values, stages: Sequence[Any]) -> Any:
        """Whether the prescaler counts; one that is put back counts for nothing."""
        enable, clear, load = self.controls(inputs)
        runs: Any = 1 if self.gated else enable
        if self.stands:
            runs = select(self.chain.at_end(stages), 0, runs)
        waits = select(clear, int(self.at_clear == "waits"), load & int(self.at_load == "waits"))
        return select(waits, 0, runs)

    def _due(self, state: State, inputs: Values) -> tuple[Any, Any, Any]:
        """Whether the prescaler ticks, whether that tick counts, and whether the stages are to step."""
        phase, pipe, stages = state[0], state[1], state[6:]
        enable, _, _ = self.controls(inputs)
        ticks = self.running(inputs, stages) & (phase == self.last_phase)
        counts = select(ticks & enable, 1, 0)
        return ticks, counts, (pipe >> (self.delay - 1) if self.delay else counts)

    def out(self, state: State, inputs: Values) -> Values:
        """The stages, then tick and done."""
        stages = state[6:]
        shown = [stages[i] for i in self.shown]
        if self.tick is not None:
            now: Any = state[2] == 1
            if self.tick.endswith("before"):
                ticks, _, due = self._due(state, inputs)
                now = due if self.tick == "before" else ticks
            shown.append(select(now, 1, 0))
        if self.done is not None:
            high: Any = state[3] == 1
            if self.done in {"level", "at_step"}:
                high = self.chain.at_end(stages)
                if self.done == "at_step":
                    high = high & self._due(state, inputs)[2]
            shown.append(select(high, 1, 0))
        return tuple(shown)

    def cares(self, state: State, inputs: Values) -> Values | None:
        """Nothing of an unknown state; not a tick or done whose step a clear or load replaces."""
        _, clear_at, load_at = self._controls
        if clear_at < 0 and load_at < 0:
            return None
        masks = [self.outputs[i].mask for i in range(len(self.shown))]
        _, clear, load = self.controls(inputs)
        if self.tick is not None:
            lost: Any = state[2] == UNPROMISED
            if self.tick.endswith("before"):
                ticks, _, due = self._due(state, inputs)
                lost = (due if self.tick == "before" else ticks) & self.emptied(clear, load)
            masks.append(select(lost, 0, 1))
        if self.done is not None:
            lost = state[3] == UNPROMISED
            if self.done == "at_step":
                lost = self._due(state, inputs)[2] & (clear | load)
            masks.append(select(lost, 0, 1))
        unknown = state[4] | state[5]
        return tuple([select(unknown, 0, mask) for mask in masks])

    def next(self, state: State, inputs: Values) -> State:
        """Count, and step the stages when a tick gets to them; clear beats load, load beats the step."""
        phase, pipe, _, done, adrift, stray, *stages = state
        _, clear, load = self.controls(inputs)
        ticks, counts, due = self._due(state, inputs)
        emptied = self.emptied(clear, load)

        runs = self.running(inputs, stages)
        counted = select(ticks, self.lead, select(runs, phase + 1, phase))
        piped = ((pipe << 1) | counts) & ((1 << self.delay) - 1)
        loaded, legal = self._loaded(inputs)
        stepped = self.chain.step(stages, due)
        following = [
            select(clear, c, select(load, new, old))
            for c, new, old in zip(self.cleared, loaded, stepped, strict=True)
        ]
        unsure = (self.stands & stray) if self.stands else 0
        return (
            select(emptied, 0, counted),
            select(emptied, 0, piped),
            self._tick_register(due, ticks, emptied),
            self._done_register(done, stages, stepped, due, clear | load),
            select(emptied, 0, adrift | unsure),
            select(clear, 0, select(load, 1 - legal, stray)),
            *following,
        )

    def _tick_register(self, due: Any, ticks: Any, emptied: Any) -> Any:
        if self.tick not in {"with", "always_with"}:
            return 0
        high = due if self.tick == "with" else ticks
        return select(high, select(emptied, UNPROMISED, 1), 0)

    def _done_register(
        self, done: Any, stages: Sequence[Any], stepped: Sequence[Any], due: Any, replaced: Any
    ) -> Any:
        if self.done not in {"reached", "after"}:
            return 0
        ended = self.chain.at_end(stages)
        arrives = select(ended, 0, self.chain.at_end(stepped)) if self.chain.stops else due & ended
        if self.done == "reached":
            return select(replaced, 0, select(arrives, 1, done))
        return select(arrives, select(replaced, UNPROMISED, 1), 0)

    def _loaded(self, inputs: Values) -> tuple[list[Any], Any]:
        """The stages after a load (0 where there is no port), and 1 when each can have its value."""
        values: list[Any] = [0] * len(self.chain.moduli)
        legal: Any = 1
        for stage, at in self._loads:
            proper = inputs[at] < self.chain.moduli[stage]
            values[stage] = select(proper, inputs[at], 0)
            legal = legal & proper
        if self.chain.cut:
            legal = legal & self.chain.within(values)
        return values, select(legal, 1, 0)

    def quiet(self, state: State, inputs: Values) -> int:
        """Up to the last phase nothing happens, when nothing is on its way."""
        phase, pipe, tick, done, adrift, stray, *stages = state
        _, clear, load = self.controls(inputs)
        if clear or load or pipe or tick or (done and self.done != "reached"):
            return 0
        if self.stands and stray and not adrift:
            return 0
        return self.last_phase - phase if self.running(inputs, stages) else 0

    def skip(self, state: State, inputs: Values, cycles: int) -> State:  # noqa: ARG002
        """Only the phase moves."""
        return (state[0] + cycles, *state[1:])

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """See :mod:`verify.models.timer_leap`."""
        return timer_leap(self, state, inputs, cycles)

    @property
    def limits(self) -> Mapping[str, int]:
        """What each stage can be loaded with."""
        return {
            self.inputs[at].name: min(self.chain.moduli[stage] - 1, self.inputs[at].mask)
            for stage, at in self._loads
        }

    @property
    def resting(self) -> Mapping[str, int]:
        """Running, neither cleared nor loaded."""
        return resting_values(self.inputs)

    def encode(self, name: str, number: int) -> int:  # noqa: ARG002 -- the contract's signature
        """Stages are loaded in binary."""
        return number

    @property
    def full_cycle(self) -> int:
        """Clocks until the start comes round again, or until it has stood at the end for a period."""
        steps = self.chain.states
        if self.chain.stops:
            steps = self.chain.left(self.chain.index(self.power_up[6:])) + 2
        return self.first_due + 1 + (steps - 1) * self.ratio

    @property
    def first_due(self) -> int:
        """The clock after reset at whose end the stages step first."""
        return self.last_phase - self.power_up[0] + self.delay

    def landmarks(self) -> tuple[int, ...]:
        """The last clocks before the first steps, each stage's rollovers, its decimal carries, the end."""
        return timer_landmarks(self)
