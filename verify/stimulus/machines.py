"""Stimuli for what has state: dividers, counters, timers, displays."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np

from verify.models.golden import Guided, InTurns
from verify.signals import Reset, Run, Stimulus
from verify.stimulus.budget import Budget
from verify.stimulus.pressing import all_the_way, presses, stopping_trips
from verify.stimulus.stage import Stage
from verify.stimulus.vocabulary import Hand, corners

__all__ = ["aimed", "first_steps", "loads", "trip", "tumble"]

AROUND_CYCLES = (-2, -1, 0, 1, 2, 3)
"""Distances from a landmark at which a control is tried: the clocks around a terminal count, and
one more for each pipeline register between it and a stage."""

AT_CYCLES = (0, 1)
"""Of these, where the step itself comes."""

FAR_PART = 5
"""The part of the far clocks that goes to controls at far landmarks; each of them is gone to anew."""

LONG_PERIOD_CYCLES = 1_000_000
"""Of longer periods no more are played than are needed."""

STRANGER_CYCLES = 24
"""How far a model that names no landmarks is taken to be from its first event."""


def first_steps(hand: Hand, rng: np.random.Generator) -> Stimulus:
    """A few periods at rest, a pulse between edges, a short reset, then every control about."""
    period = _period(hand)
    long = period > LONG_PERIOD_CYCLES
    runs = [*hand.begin(), hand.rest((2 if long else 3) * period + 12)]
    moved = _moved_first(hand, (period,) if long else (period - 1, period, period + 1), period + 3)
    if hand.operated is not None:  # they tell most, and what they leave open is tried in every way
        runs += [*moved, *presses(hand, period)]
    for number, pulse in enumerate(hand.pulses or (Reset.HELD,)):
        runs += _reset_runs(hand, pulse, 3 if number else period + (0 if long else period // 2) + 3)
    if not long:
        runs += _reset_runs(hand, Reset.HELD, period + 5)
    if hand.operated is None:
        runs += moved
    if hand.controls or hand.data:
        runs += hand.begin()
        longest = int(min(period, 200)) + 2
        columns = [c.tolist() for c in hand.random_columns(40, rng)]
        for values in zip(*columns, strict=True):
            runs.append(Run(int(rng.integers(1, longest)), values))
        runs.append(hand.rest(period + 4))
    return Stimulus.of(hand.signals, runs)


def _moved_first(hand: Hand, waits: tuple[int, ...], then: int) -> list[Run]:
    """Each control for a clock around the first event."""
    runs = []
    for control in _telling_first(hand):
        for gesture in hand.gestures(control).values():
            for wait in waits:
                before = hand.rest(max(wait - hand.ahead(control), 1))
                runs += [*hand.begin(), before, *gesture, hand.rest(then)]
    return runs


def _telling_first(hand: Hand) -> list[int]:
    """The controls; of a design with buttons those first that leave the fewest ways to read it."""
    if hand.operated is None:
        return list(hand.controls)
    order = ("clear", "load", *hand.operated.pauses, *hand.operated.opening)
    places = {name: place for place, name in enumerate(order)}
    return sorted(hand.controls, key=lambda c: places.get(hand.signals[c].name, len(order)))


def trip(hand: Hand, budget: Budget) -> Iterator[Stage]:
    """One complete trip at rest, wrap included, then one with a pause at every landmark."""
    if not isinstance(hand.model, Guided):
        return
    period = _period(hand)
    last = max(hand.model.landmarks(), default=0) + 1
    beyond = 2 * period if period <= LONG_PERIOD_CYCLES else 0
    if isinstance(hand.model, InTurns):  # each part has to have its turn after the wrap
        beyond += hand.model.turns * hand.model.turn_cycles
    length = min(max(hand.model.full_cycle, last) + beyond + 12, budget.trip_cycles)
    yield Stage("whole trip", Stimulus.of(hand.signals, [*hand.begin(), hand.rest(length)]))
    for control in hand.controls:
        name = hand.signals[control].name
        if hand.operated is not None and name in hand.operated.pauses:
            for number, runs in enumerate(stopping_trips(hand, control, _around(hand, control, budget))):
                again = " once more" * bool(number)
                yield Stage(f"trip with {name} at every landmark{again}", Stimulus.of(hand.signals, runs))
            for runs in stopping_trips(hand, control, all_the_way(period, min(length, budget.far_cycles))):
                yield Stage(f"trip with {name} all the way", Stimulus.of(hand.signals, runs))
        elif hand.resting[control] == 1:
            yield Stage(
                f"trip with {name} off at every landmark",
                Stimulus.of(hand.signals, _paused_trip(hand, control, budget.far_cycles)),
            )
    for control in hand.controls:
        if hand.signals[control].name == "up":
            runs = [*hand.begin(), Run(length, hand.off_rest(control))]
            yield Stage("whole trip down", Stimulus.of(hand.signals, runs))


def _paused_trip(hand: Hand, control: int, limit: int) -> list[Run]:
    """Rest up to each landmark and pause there for one to three clocks, in each clock around it."""
    runs, at = hand.begin(), 0
    off = hand.off_rest(control)
    for landmark in _landmarks(hand):
        for around in AROUND_CYCLES:
            clock = landmark + around
            if clock > limit:
                return runs
            if clock > at:
                runs += [hand.rest(clock - at), Run(1 + (around % 3), off)]
                at = clock
    runs.append(hand.rest(_period(hand) + 4))
    return runs


def _around(hand: Hand, control: int, budget: Budget) -> list[int]:
    """The clocks around every landmark, as far as one goes, in which a control is moved to act there."""
    ahead = hand.ahead(control)
    found = {mark + around - ahead for mark in _landmarks(hand) for around in AROUND_CYCLES}
    return sorted(clock for clock in found if 1 <= clock <= budget.far_cycles)


def aimed(hand: Hand, budget: Budget) -> Iterator[Stage]:
    """Reset, clear, load and every other control in each clock around the landmarks."""
    period = _period(hand)
    gestures: list[tuple[str, tuple[list[Run], ...], int]] = []
    if hand.resets:
        gestures.append(("reset", ([Run(1, hand.resting, Reset.HELD), *hand.go()],), 0))
    if hand.pulses:
        between = tuple([Run(1, hand.resting, pulse), *hand.go()] for pulse in hand.pulses)
        gestures.append(("reset between edges", between, 0))
    for control in hand.controls:
        moved = hand.gestures(control).items()
        gestures += [(name, (gesture,), hand.ahead(control)) for name, gesture in moved]
    if not gestures:
        return
    share, far = budget.aimed_cycles // len(gestures), budget.far_cycles // FAR_PART // len(gestures)
    for name, ways, ahead in gestures:
        runs: list[Run] = []
        turns = itertools.cycle(ways)
        for wait in _waits(hand, period + 4, share, far, ahead):
            after = hand.rest(min(period, share) + 3)
            runs += [*(hand.begin() if hand.resets else []), hand.rest(wait), *next(turns), after]
        yield Stage(f"{name} at every landmark", Stimulus.of(hand.signals, runs))


def _waits(hand: Hand, behind: int, share: int, far: int, ahead: int) -> Iterator[int]:
    """Clocks of rest to each clock around the landmarks, as far as ``share`` goes; then, to those that
    are too far for that, to the very clock and the one after it, as far as ``far`` goes.
    """
    spent = 0
    left = []
    for landmark in _landmarks(hand):
        for around in AROUND_CYCLES:
            wait = landmark + around - ahead
            if wait >= 1 and spent + wait + behind <= share:
                spent += wait + behind
                yield wait
            elif wait >= 1 and around in AT_CYCLES:
                left.append(wait)
    spent = 0
    for wait in left:
        spent += wait + behind
        if spent > far:
            return
        yield wait


def loads(hand: Hand, rng: np.random.Generator, budget: Budget) -> Iterator[Stage]:
    """Load the corners of every data input and let the design run on from there."""
    load = next((c for c in hand.controls if hand.signals[c].name == "load"), None)
    if load is None or not hand.data:
        return
    period = _period(hand)
    rows: list[dict[int, int]] = []
    for index in hand.data:
        others = dict.fromkeys(hand.data, 0)
        full = {i: hand.encode(i, hand.limit(i)) for i in hand.data}
        for number in corners(hand.limit(index)):
            value = {index: hand.encode(index, number)}
            rows += [{**others, **value}, {**full, **value}]
    for _ in range(40):
        rows.append(
            {i: hand.encode(i, int(rng.integers(0, min(hand.limit(i), 1 << 62) + 1))) for i in hand.data}
        )
    runs, spent = hand.begin(), 0
    for row in rows:
        after = 2 * period + int(rng.integers(0, period + 1))
        spent += after + 1
        if spent > budget.aimed_cycles:
            break
        loaded = Run(1, hand.with_values({load: 1 - hand.resting[load], **row}))
        runs += (
            [loaded, hand.rest(after)] if hand.operated is None else [*_from(hand, loaded), hand.rest(after)]
        )
    yield Stage("load every corner", Stimulus.of(hand.signals, runs))
    highest = {i: hand.encode(i, hand.limit(i)) for i in hand.data}
    span = min(
        math.prod(min(hand.limit(i), budget.trip_cycles) + 2 for i in hand.data) * period, budget.trip_cycles
    )
    loaded = Run(1, hand.with_values({load: 1 - hand.resting[load], **highest}))
    run_down = [*_from(hand, loaded), hand.rest(span)]
    yield Stage("the whole way from the highest load", Stimulus.of(hand.signals, run_down))


def _from(hand: Hand, loaded: Run) -> list[Run]:
    """Begin with a load: before a design that has to be told so begins to run."""
    if hand.operated is None:
        return [*hand.begin(), loaded]
    return [*hand.reset(), hand.rest(2), loaded, *hand.go()]


def tumble(hand: Hand, rng: np.random.Generator) -> Stage:
    """Random values on every input for random times, resets of both sorts among them."""
    period = _period(hand)
    longest = min(period, 300) + 3
    runs = hand.begin()
    if not hand.signals and not hand.resets:
        return Stage("random controls", Stimulus.of((), []))
    count = 1500
    columns = [c.tolist() for c in hand.random_columns(count, rng)]
    rows = list(zip(*columns, strict=True)) if columns else [()] * count
    for number, values in enumerate(rows):
        reset = Reset.RELEASED
        if hand.resets and number % 29 == 13:
            held = number % 2 or not hand.pulses
            reset = Reset.HELD if held else hand.pulses[number // 58 % len(hand.pulses)]
        long = rng.random() < 0.3
        runs.append(Run(int(rng.integers(1, longest if long else 4)), values, reset))
    runs.append(hand.rest(min(period, 10_000) + 4))
    return Stage("random controls", Stimulus.of(hand.signals, runs))


def _reset_runs(hand: Hand, reset: Reset, then: int) -> list[Run]:
    """A one-cycle reset, then rest; only the rest where there is no reset."""
    if not hand.resets:
        return [hand.rest(then)]
    return [Run(1, hand.resting, reset), *hand.go(), hand.rest(then)]


def _landmarks(hand: Hand) -> tuple[int, ...]:
    return hand.model.landmarks() if isinstance(hand.model, Guided) else (STRANGER_CYCLES,)


def _period(hand: Hand) -> int:
    """Clocks to the first thing that happens by itself."""
    landmarks = _landmarks(hand)
    return max(landmarks[0], 1) + 1 if landmarks else STRANGER_CYCLES
