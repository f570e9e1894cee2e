"""Leaps of a timer, at the cost of its steps; and the clocks at which they come."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from verify.models.golden import Leap, State, Values
from verify.models.walking import Offsets, join, merge, pulses, walk
from verify.signals import Column, column

if TYPE_CHECKING:
    from verify.models.timer_model import Timer

__all__ = ["timer_landmarks", "timer_leap"]

FEW_STEPS = 6
FEW_CYCLES = 16
"""Runs of up to so many steps, or cycles, are walked."""

DECADE = 10
"""A stage in decimal carries from digit to digit here."""


def timer_leap(timer: Timer, state: State, inputs: Values, cycles: int) -> Leap:
    """Walk the first cycles, until only this run's ticks are on their way; the rest in one piece."""
    enable, clear, load = timer.controls(inputs)
    head_cycles = timer.delay + 2
    few = max(FEW_STEPS * timer.ratio + timer.lead, FEW_CYCLES) + head_cycles
    # The moments that a clear or load makes uncertain are left to the one-cycle form.
    uncertain = (clear or load) and timer.done in {"after", "at_step"}
    if cycles <= few or timer.emptied(clear, load) or uncertain:
        return walk(timer, state, inputs, cycles)
    head = walk(timer, state, inputs, head_cycles)
    rest = cycles - head_cycles
    stages = head.state[6:]
    if not timer.running(inputs, stages):
        return join(timer.outputs, head, head_cycles, walk(timer, head.state, inputs, rest))
    held = bool(clear or load)
    until = rest
    if timer.stands and not held and enable:
        left = timer.chain.left(timer.chain.index(stages))
        until = _first_due(timer, head.state) + (left - 1) * timer.ratio + 1
    if until >= rest:
        return join(timer.outputs, head, head_cycles, _steady(timer, head.state, enable, held, rest))
    moving = _steady(timer, head.state, enable, held, until)
    standing = walk(timer, moving.state, inputs, rest - until)
    tail = join(timer.outputs, moving, until, standing)
    return join(timer.outputs, head, head_cycles, tail)


def _first_due(timer: Timer, state: State) -> int:
    """The cycle at whose end the stages step next; ticks on their way are a period apart."""
    phase, pipe = state[0], state[1]
    return timer.delay - pipe.bit_length() if pipe else timer.last_phase - phase + timer.delay


def _steady(timer: Timer, state: State, enable: int, held: bool, cycles: int) -> Leap:
    """A running prescaler; ``held``: the stages are kept where they are."""
    chain, ratio = timer.chain, timer.ratio
    phase, _, tick, done, adrift, stray, *stages = state
    times = _times(_first_due(timer, state), cycles, ratio) if enable else np.zeros(0, np.int64)
    index = chain.index(stages)
    steps = 0 if held else len(times)
    if chain.stops:
        steps = min(steps, chain.left(index))
    indices = chain.indices(index, steps)
    offsets = np.concatenate([[0], times[:steps] + 1])
    shown = offsets < cycles
    offsets = offsets[shown]
    columns = chain.stages(indices[shown])
    tracks: list[tuple[Offsets, Column]] = [(offsets, columns[i]) for i in timer.shown]

    tick_after = 0
    if timer.tick is not None:
        always = timer.tick.startswith("always")
        ticks = _times(timer.last_phase - phase, cycles, ratio) if always else times
        if timer.tick.endswith("before"):
            tracks.append(pulses(ticks, cycles))
        else:
            track, tick_after = _registered(ticks, tick, cycles)
            tracks.append(track)
    done_after = done
    if timer.done is not None:
        track, done_after = _done_track(timer, times, indices, offsets, done, cycles)
        tracks.append(track)
    joined, values = merge(tracks)
    after = (
        _phase_after(timer, phase, cycles),
        _pipe_after(timer, state, enable, cycles),
        tick_after,
        done_after,
        adrift,
        stray,
        *(int(v) for v in chain.stages(int(indices[-1]))),
    )
    unknown = bool(adrift or stray)
    return Leap(
        after,
        joined,
        tuple(column(v, s.width) for v, s in zip(values, timer.outputs, strict=True)),
        tuple(column(np.zeros_like(v), s.width) for v, s in zip(values, timer.outputs, strict=True))
        if unknown
        else None,
    )


def _times(first: int, cycles: int, ratio: int) -> Offsets:
    return np.arange(first, cycles, ratio, dtype=np.int64)


def _registered(times: Offsets, before: int, cycles: int) -> tuple[tuple[Offsets, Column], int]:
    """Pulses one cycle after ``times``, ``before`` in the first cycle, and the register afterwards."""
    after = int(len(times) > 0 and times[-1] == cycles - 1)
    later = times[: len(times) - after] + 1
    return pulses(np.concatenate([[0], later]) if before else later, cycles), after


def _done_track(
    timer: Timer, times: Offsets, indices: Column, offsets: Offsets, done: int, cycles: int
) -> tuple[tuple[Offsets, Column], int]:
    """The track of done, and its register afterwards; ``indices`` from before the first step on."""
    chain = timer.chain
    end = 0 if chain.down else chain.states - 1
    at_end = np.asarray(indices == end, dtype=np.int64)
    if timer.done == "level":
        return (offsets, at_end[: len(offsets)]), 0
    steps = times[: len(indices) - 1]
    if timer.done == "at_step":
        # A timer that is kept where it is steps nowhere, and is walked; one that stops is no case.
        return pulses(steps[at_end[:-1] == 1], cycles), 0
    arrivals = steps[(at_end[1:] if chain.stops else at_end[:-1]) == 1]
    if timer.done == "after":
        return _registered(arrivals, done, cycles)
    if done or len(arrivals) == 0:
        return (np.zeros(1, np.int64), np.full(1, done, np.int64)), done
    since = int(arrivals[0]) + 1
    if since >= cycles:
        return (np.zeros(1, np.int64), np.zeros(1, np.int64)), 1
    return (np.array([0, since], np.int64), np.array([0, 1], np.int64)), 1


def _phase_after(timer: Timer, phase: int, cycles: int) -> int:
    ended = phase + cycles
    return ended if ended <= timer.last_phase else timer.lead + (ended - timer.lead) % timer.ratio


def _pipe_after(timer: Timer, state: State, enable: int, cycles: int) -> int:
    """The ticks of the last ``delay`` cycles."""
    phase, pipe = state[0], state[1]
    found = (pipe << cycles) & ((1 << timer.delay) - 1) if cycles < timer.delay else 0
    first = timer.last_phase - phase
    for bit in range(min(timer.delay, cycles)):
        at = cycles - 1 - bit - first
        if enable and at >= 0 and at % timer.ratio == 0:
            found |= 1 << bit
    return found


def timer_landmarks(timer: Timer) -> tuple[int, ...]:
    """Clocks after reset; the state after each is the last before something happens."""
    chain = timer.chain
    index = chain.index(timer.power_up[6:])
    steps = {0, 1}
    weight = 1
    for modulo in chain.moduli:
        for size in (weight, weight * DECADE) if modulo > DECADE else (weight,):
            first = index % size if chain.down else (-index - 1) % size
            steps |= {first, first + size}
        weight *= modulo
    left = chain.left(index)
    steps |= {left - 1, left, left + 1}
    limit = max(left if chain.stops else left + 1, 1)
    return tuple(timer.first_due + step * timer.ratio for step in sorted(steps) if 0 <= step <= limit)
