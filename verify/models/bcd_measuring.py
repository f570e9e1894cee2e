"""Read the handshake of a sequential converter off a first observation.

Every handshake of a short list is played against it; those that explain done and busy stay, and of
these, if there are any, those that explain the digits too. What is left open goes to the comparison.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from verify.models.bcd_handshake import DoneShape, Handshake
from verify.models.bcd_sequential import SequentialConverter
from verify.models.family import Candidate
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Reset, Stimulus

__all__ = ["measure"]

DELAYS = (0, 1, 2)
FEW_RUNS, MANY_RUNS = 40, 200
"""So many runs of the observation are held against every handshake, and against those still standing."""

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
    shorter, longer = _beginning(*observed, FEW_RUNS), _beginning(*observed, MANY_RUNS)
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


def _best(
    models: list[SequentialConverter], stimulus: Stimulus, trace: ObservedTrace, *, flags_only: bool = True
) -> tuple[list[SequentialConverter], int]:
    """Those that agree for longest, and for how many cycles."""
    agreed = [_agreed(m, stimulus, trace, flags_only=flags_only) for m in models]
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


def _beginning(stimulus: Stimulus, trace: ObservedTrace, runs: int) -> tuple[Stimulus, ObservedTrace]:
    cut = Stimulus(
        stimulus.signals,
        stimulus.cycles[:runs],
        stimulus.reset[:runs],
        tuple(c[:runs] for c in stimulus.values),
    )
    keep = trace.cycles < cut.length
    unknown = trace.unknown and tuple(None if c is None else c[keep] for c in trace.unknown)
    return cut, ObservedTrace(
        trace.signals, cut.length, trace.cycles[keep], tuple(c[keep] for c in trace.values), unknown
    )


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


def _agreed(model: SequentialConverter, stimulus: Stimulus, trace: ObservedTrace, *, flags_only: bool) -> int:
    """Cycles up to the first difference, under the better kind of reset."""
    followed = model.follow(stimulus, trace)
    agreed = _first_difference(followed, stimulus, trace, ResetKind.ASYNCHRONOUS, flags_only=flags_only)
    # A reset at the very beginning is seen whatever its kind.
    if agreed == trace.length or not (stimulus.reset[1:] != Reset.RELEASED).any():
        return agreed
    other = _first_difference(followed, stimulus, trace, ResetKind.SYNCHRONOUS, flags_only=flags_only)
    return max(agreed, other)


def _first_difference(
    model: SequentialConverter, stimulus: Stimulus, trace: ObservedTrace, kind: ResetKind, *, flags_only: bool
) -> int:
    expected, _ = expect(model, stimulus, kind)
    delay = model.handshake.delay
    excused = _resets(stimulus, delay)
    points = np.unique(np.concatenate([expected.cycles + delay, trace.cycles, excused.ravel()]))
    points = points[(points >= delay) & (points < trace.length)]
    wanted = np.searchsorted(expected.cycles + delay, points, side="right") - 1
    got = np.searchsorted(trace.cycles, points, side="right") - 1
    wrong = np.zeros(len(points), dtype=bool)
    skipped = len(model.converter.outputs) if flags_only else 0
    for i in range(skipped, len(model.outputs)):
        bits = expected.values[i][wanted] ^ trace.values[i][got]
        unknown = None if trace.unknown is None else trace.unknown[i]
        if unknown is not None:
            bits = bits | unknown[got]
        care = None if expected.cares is None else expected.cares[i]
        wrong |= np.asarray((bits if care is None else bits & care[wanted]) != 0, dtype=bool)
    begun = np.searchsorted(excused[:, 0], points, side="right")
    ended = np.searchsorted(excused[:, 1], points, side="right")
    hits = points[wrong & (begun == ended)]
    return int(hits[0]) if len(hits) else trace.length


def _resets(stimulus: Stimulus, delay: int) -> NDArray[np.int64]:
    """Cycle ranges with a reset in them; which kind it is, is another question."""
    held = stimulus.reset == Reset.HELD
    touched = stimulus.reset != Reset.RELEASED
    lengths = np.where(held, stimulus.cycles, 1)[touched] + delay
    return np.stack([stimulus.starts[touched], stimulus.starts[touched] + lengths], axis=1)
