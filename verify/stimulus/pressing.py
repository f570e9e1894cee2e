"""What can be done to a design that runs because a button was pressed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import gcd

from verify.signals import Reset, Run
from verify.stimulus.vocabulary import Hand

__all__ = ["all_the_way", "presses", "stopping_trips"]

Step = tuple[int, str]
"""Clocks, and the inputs that are off rest in them."""

TEN = 10
"""Digits and tens of seconds come round in multiples of it, and of the period."""

MOST_PAUSES = 1500
"""Of a trip that pauses again and again."""

APART = 6
"""Clocks between two presses: more than there are registers before a latch."""

_PROBES: tuple[tuple[Step, ...], ...] = (
    # one button
    ((2, "stop"), (APART, ""), (2, "start")),
    ((1, "stop"), (1, "start")),
    ((3, "stop"), (1, "stop start"), (3, "stop")),
    ((3, "start"), (1, "start stop"), (3, "start")),
    ((1, "stop"), (APART, ""), (3, "start"), (1, "start stop"), (3, "start")),
    ((1, "start_stop"), (APART, ""), (1, "start_stop")),
    ((2, "start_stop"), (APART, "")),
    ((3, "start_stop"), (1, ""), (1, "start_stop"), (1, ""), (4, "start_stop")),
    # both at once
    ((1, "start stop"),),
    ((4, "start stop"),),
    ((1, "stop"), (APART, ""), (1, "start stop")),
    ((1, "stop"), (APART, ""), (4, "start stop")),
)

_BESIDE: tuple[tuple[Step, ...], ...] = (
    # clear or load, called so here, while it runs and while it does not, and buttons with it
    ((1, "control"),),
    ((4, "control"),),
    ((1, "press"), (APART, ""), (4, "control"), (APART, ""), (1, "go")),
    ((1, "control go"),),
    ((1, "control press"),),
    ((1, "press"), (APART, ""), (1, "control go")),
    ((1, "press"), (APART, ""), (3, "control"), (1, "control go"), (3, "control")),
    ((3, "control"), (1, "control press"), (3, "control")),
    ((2, "go"), (1, "go control"), (2, "go")),
    ((1, "press"), (APART, ""), (2, "go"), (1, "go control"), (3, "go")),
    ((2, "press"), (1, "press control"), (3, "press")),
)

_BEFORE: tuple[tuple[Step, ...], ...] = (
    # the same before it has run at all
    ((1, "control"), (APART, ""), (1, "go")),
    ((1, "control go"),),
    ((3, "control"), (1, "control go"), (3, "control")),
    ((2, "go"), (1, "control go"), (2, "go")),
)

_IN_RESET: tuple[tuple[Step, Step, Step], ...] = (
    # before, during and after reset
    ((1, ""), (1, ""), (1, "go")),
    ((1, ""), (2, ""), (3, "go")),
    ((1, ""), (3, "go"), (1, "")),
    ((1, ""), (3, "go"), (3, "go")),
    ((1, ""), (1, "go"), (1, "")),
    ((2, "go"), (1, "go"), (2, "go")),
    ((2, "go"), (1, ""), (1, "")),
    ((1, "go"), (1, ""), (2, "go")),
)


def presses(hand: Hand, period: int) -> list[Run]:
    """Everything that the facts about a latch depend on, each followed by a look at whether it runs.

    ``period``: clocks to the first event.
    """
    if hand.operated is None:
        return []
    look = hand.rest(period + 2 * APART)
    known = {hand.signals[c].name for c in hand.controls}
    toggles = "start_stop" in known
    go = "start_stop" if toggles else "start"
    stop = "start_stop" if toggles else "stop"
    found: list[Run] = []
    for number, steps in enumerate(_bound(known, go, stop)):
        wait = hand.rest(max((period - 2, APART, period + 1)[number % 3], 1))
        found += [*hand.begin(), wait, *(_pressed(hand, step) for step in steps), look]
        found += [_pressed(hand, (1, go)), look]
    if not hand.resets:
        return found
    for steps in _beside(_BEFORE, known, go, stop):
        found += [*hand.reset(), hand.rest(APART), *(_pressed(hand, step) for step in steps), look]
    for reset in (Reset.HELD, *hand.pulses):
        for before, during, after in _IN_RESET:
            steps = [(c, what.replace("go", go)) for c, what in (before, during, after)]
            held = _pressed(hand, steps[1])
            under = Run(held.cycles if reset is Reset.HELD else 1, held.values, reset)
            found += [*hand.begin(), hand.rest(APART), _pressed(hand, steps[0]), under]
            found += [_pressed(hand, steps[2]), look]
    return found


def _bound(known: set[str], go: str, stop: str) -> Iterator[list[Step]]:
    """The probes for which there are ports."""
    for steps in _PROBES:
        if {name for _, what in steps for name in what.split()} <= known:
            yield list(steps)
    yield from _beside(_BESIDE, known, go, stop)


def _beside(probes: Sequence[tuple[Step, ...]], known: set[str], go: str, stop: str) -> Iterator[list[Step]]:
    """The probes with a clear or load for which there are ports."""
    for control in ("clear", "load"):
        names = {"control": control, "go": go, "press": stop}
        for steps in probes if control in known else ():
            told = [(cycles, [names[word] for word in what.split()]) for cycles, what in steps]
            if {name for _, what in told for name in what} <= known:
                yield [(cycles, " ".join(what)) for cycles, what in told]


def _pressed(hand: Hand, step: Step) -> Run:
    """One step; what is loaded is as large as it may be."""
    cycles, what = step
    names = what.split()
    changes = {c: 1 - hand.resting[c] for c in hand.controls if hand.signals[c].name in names}
    if "load" in names:
        changes |= {i: hand.encode(i, hand.limit(i)) for i in hand.data}
    return Run(cycles, hand.with_values(changes))


def stopping_trips(hand: Hand, control: int, clocks: Sequence[int]) -> Iterator[list[Run]]:
    """Trips that pause in each of ``clocks``, counted without the pauses; as many as it takes.

    Two presses need a clock between them, so that not every clock has its pause in one trip.
    """
    if hand.operated is None:
        return
    counted = hand.operated.counted_cycles(hand.signals[control].name)
    left = list(clocks)
    while left:
        runs, at, later = hand.begin(), 0, []
        for number, clock in enumerate(left):
            if clock < at:
                later.append(clock)
                continue
            (gesture,) = hand.gestures(control, 1 + number % 3).values()
            runs += [hand.rest(clock - at)] if clock > at else []
            runs += gesture
            at = clock + counted
        yield [*runs, hand.rest(clocks[0] + APART)]
        left = later


def all_the_way(period: int, length: int) -> list[int]:
    """Clocks of a trip of that length, in ever other parts of the period, in all values of what is slow."""
    apart = max(length // MOST_PAUSES, 2 * APART)
    while gcd(apart, 2 * period * TEN) > 1:
        apart += 1
    return list(range(APART, length, apart))
