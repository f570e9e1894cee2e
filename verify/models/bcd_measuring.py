"""Read the handshake of a sequential converter off a first observation.

Every handshake of a short list is played against it; those that explain done and busy stay, and of
these, if there are any, those that explain the digits too. What is left open goes to the comparison.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from verify.models.agreement import agreed_cycles, opening
from verify.models.bcd_handshake import DoneShape, Handshake
from verify.models.bcd_sequential import SequentialConverter
from verify.models.family import Candidate
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Stimulus

__all__ = ["measure"]

DELAYS = (0, 1, 2)
FEW_RUNS, MANY_RUNS = 24, 150
"""So many runs of the observation are held against every handshake, and against those still standing."""

CLOSE_TIMES = 8
"""So many conversion times are tried clock by clock from the shortest on."""

STRANGERS = 4
"""So many handshakes are kept when none explains the design; any of them shows what is wrong with it."""


def measure(
    model: SequentialConverter, observed: tuple[Stimulus, ObservedTrace] | None
) -> tuple[Candidate, ...]:
    """``model`` with every handshake that ``observed`` allows, most usual first, at least one."""
    usual = next(_handshakes(model, 0))
    guess = min(4 * model.converter.width + 8, model.max_cycles)
    if observed is None:
        return (Candidate(replace(model, handshake=usual, clocks=guess), latencies=(usual.delay,)),)
    if not model.roles.tells:
        return tuple(_by_time(replace(model, handshake=usual), *observed))
    shorter, longer = opening(*observed, FEW_RUNS), opening(*observed, MANY_RUNS)
    strangers: list[SequentialConverter] = []
    reached = -1
    for delay in DELAYS:
        tried = [replace(model, handshake=h, clocks=guess) for h in _handshakes(model, delay)]
        standing, agreed = _best(tried, *shorter)
        if agreed == shorter[1].length:
            standing, agreed = _best(standing, *longer)
        if agreed == longer[1].length:
            exact, agreed = _best(standing, *longer, flags_only=False)
            found = exact if agreed == longer[1].length else standing
            return tuple(_candidate(m, *longer) for m in found)
        if agreed > reached:
            strangers, reached = standing[:STRANGERS], agreed
    return tuple(_candidate(m, *longer) for m in strangers)


def _by_time(model: SequentialConverter, stimulus: Stimulus, trace: ObservedTrace) -> Iterator[Candidate]:
    """A design that never says when it is done has a time in which its result is there.

    The shortest that the observation allows, and longer ones, since another number may take longer.
    """
    fitting: list[int] = []
    clocks, step = 1, 1
    while clocks <= model.max_cycles:
        timed = replace(model, clocks=clocks)
        if fitting or agreed_cycles(timed, stimulus, trace)[0] == trace.length:
            fitting.append(clocks)
        step = 1 if len(fitting) < CLOSE_TIMES else step + step // 4 + 1
        clocks += step
    for time in fitting or [model.max_cycles]:
        facts = {"clocks": time, **model.handshake.facts(model.roles)}
        yield Candidate(replace(model, clocks=time), facts, latencies=(0,))


def _best(
    models: list[SequentialConverter], stimulus: Stimulus, trace: ObservedTrace, *, flags_only: bool = True
) -> tuple[list[SequentialConverter], int]:
    """Those that agree for longest, and for how many cycles."""
    digits = len(models[0].converter.outputs)
    counted = range(digits if flags_only else 0, len(models[0].outputs))
    agreed = [
        agreed_cycles(m, stimulus, trace, delays_cycles=(m.handshake.delay,), outputs=counted)[0]
        for m in models
    ]
    longest = max(agreed)
    return [m for m, cycles in zip(models, agreed, strict=True) if cycles == longest], longest


def _candidate(model: SequentialConverter, stimulus: Stimulus, trace: ObservedTrace) -> Candidate:
    model = replace(model, clocks=_longest(model, stimulus, trace) or model.clocks)
    facts = {"clocks": model.clocks + model.handshake.delay, **model.handshake.facts(model.roles)}
    return Candidate(model, facts, latencies=(model.handshake.delay,))


def _handshakes(model: SequentialConverter, delay: int) -> Iterator[Handshake]:
    """The usual first."""
    roles = model.roles
    shapes: tuple[DoneShape, ...] = ("pulse", "held", "idle") if roles.done else ("idle",)
    if roles.done and roles.start:
        shapes += ("acknowledged",)
    edges = (False, True) if roles.start else (False,)
    busy = (0, 1, 2) if roles.busy and roles.done else (0,)
    ready = (0,) if model.while_busy == "restart" else (0, 1, 2)
    first = (0,) if roles.start else (0, 1, 2)
    for rising, wait, shape, until, begin in itertools.product(edges, ready, shapes, busy, first):
        if shape != "acknowledged" or (wait == ready[-1] and not rising):
            yield Handshake(shape, 1 if shape == "acknowledged" else wait, until, rising, delay, begin)


def _longest(model: SequentialConverter, stimulus: Stimulus, trace: ObservedTrace) -> int | None:
    """Clocks of the longest conversion: one more than a busy that is high in all of it would have."""
    followed = model.follow(stimulus, trace)
    followed = replace(
        followed, roles=replace(model.roles, busy=True), handshake=replace(model.handshake, busy_until=0)
    )
    expected, _ = expect(followed, stimulus, ResetKind.ASYNCHRONOUS)
    busy = expected.values[-1]
    if not busy.any():
        return None
    edges = np.diff(busy, prepend=0, append=0)
    cycles = np.append(expected.cycles, expected.length)
    return int((cycles[edges == -1] - cycles[edges == 1]).max()) + 1
