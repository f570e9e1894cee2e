"""Resets and clears once every part of the state has left the place where they put it.

A register that reset forgets, or takes at another moment than the rest, shows only where its value is
another one by then: the hours of a clock after an hour, their tens after ten.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from verify.models.golden import GoldenModel, InTurns, State, at_rest, under_way
from verify.signals import Reset, Run, Stimulus
from verify.stimulus.budget import Budget
from verify.stimulus.stage import Stage
from verify.stimulus.vocabulary import Hand

__all__ = ["departed", "departures"]

BEHIND_CYCLES = 4
"""So long after a landmark the design has followed, its registers behind the stages too."""

LONG_CYCLES = 4_000_000
"""All the waiting of one check, unless the budget has more for what is far."""

DECADE = 10


def departed(hand: Hand, budget: Budget) -> Iterator[Stage]:
    """Every way to reset and to clear, at every clock of :func:`departures`, as far as the budget goes.

    Pulses, which cost the same way again, only where it is short.
    """
    if hand.guide is None:
        return
    model, marks = hand.model, hand.guide.landmarks()
    gestures: list[tuple[str, list[Run]]] = []
    if Reset.HELD in hand.resets:
        gestures.append(("reset", [Run(1, hand.resting, Reset.HELD), *hand.go()]))
    for control in hand.controls:
        if hand.signals[control].name == "clear":
            gestures += hand.gestures(control).items()
    pulses = [
        (f"reset {pulse.name.lower().replace('_', ' ')}", [Run(1, hand.resting, pulse), *hand.go()])
        for pulse in hand.pulses
    ]
    limit = min(budget.trip_cycles, max(LONG_CYCLES, budget.far_cycles))
    waits = departures(model, marks, limit // max(len(gestures), 1))
    after = _look(model, marks)
    for name, gesture in (*gestures, *pulses):
        runs: list[Run] = []
        spent = 0
        for wait in waits:
            spent += wait
            if gesture[0].reset.pulsed and spent > budget.aimed_cycles // len(pulses):
                break
            runs += [*hand.begin(), hand.rest(wait), *gesture, hand.rest(after)]
        yield Stage(f"{name} far from the start", Stimulus.of(hand.signals, runs))


def departures(model: GoldenModel, marks: Sequence[int], limit: int) -> tuple[int, ...]:
    """Clocks of rest after which more of the state differs than before, up to ``limit`` together.

    They lie a little after the landmarks ``marks``. The state is told apart decimal digit by decimal
    digit, as a register may hold no more than one.
    """
    start = model.initial()
    resting = at_rest(model)
    state, at, spent = under_way(model), 0, 0
    seen: set[tuple[int, int]] = set()
    found = []
    for mark in marks:
        clock = mark + BEHIND_CYCLES
        if spent + clock > limit:
            break
        if clock > at:
            state, at = model.leap(state, resting, clock - at).state, clock
        left = _unlike(state, start)
        if left - seen:
            seen |= left
            spent += clock
            found.append(clock)
    return tuple(found)


def _unlike(state: State, start: State) -> set[tuple[int, int]]:
    """(part of the state, decimal digit) that is another one."""
    found = set()
    for index, (now, then) in enumerate(zip(state, start, strict=True)):
        digits = max(len(str(now)), len(str(then)))
        sizes = (DECADE**digit for digit in range(digits))
        found |= {
            (index, digit)
            for digit, size in enumerate(sizes)
            if now // size % DECADE != then // size % DECADE
        }
    return found


def _look(model: GoldenModel, marks: Sequence[int]) -> int:
    """Clocks in which all that it shows is seen, and its first event."""
    first = next(iter(marks), 0) + 1
    around = model.turns * model.turn_cycles if isinstance(model, InTurns) else 0
    return max(first, around) + BEHIND_CYCLES
