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

from verify.models.bcd_handshake import DoneShape, Handshake, Schedule
from verify.models.bcd_sequential import SequentialConverter
from verify.models.family import Candidate
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Reset, Stimulus

__all__ = ["measure"]

DELAYS = (0, 1, 2)
FEW_RUNS, MANY_RUNS = 40, 300
"""So many runs of the observation are held against every handshake, and against those still standing."""


def measure(
    model: SequentialConverter, observed: tuple[Stimulus, ObservedTrace] | None
) -> tuple[Candidate, ...]:
    """``model`` with every handshake that ``observed`` allows, most usual first, at least one."""
    usual = next(_handshakes(model, 0))
    guess = min(4 * model.converter.width + 8, model.max_cycles)
    if observed is None:
        return (Candidate(replace(model, handshake=usual, clocks=guess), latencies=(usual.delay,)),)
    standing: list[SequentialConverter] = []
    reached = -1
    longer = _beginning(*observed, MANY_RUNS)
    for delay in DELAYS:
        clocks = _longest(model, delay, *observed) or guess
        tried = [replace(model, handshake=h, clocks=clocks) for h in _handshakes(model, delay)]
        fit, agreed = _best(tried, *_beginning(*observed, FEW_RUNS))
        fit, agreed = _best(fit, *longer)
        if agreed > reached:
            standing, reached = fit, agreed
        if reached == longer[1].length:
            break
    exact, agreed = _best(standing, *longer, flags_only=False)
    return tuple(_candidate(m) for m in (exact if agreed == reached else standing))


def _best(
    models: list[SequentialConverter], stimulus: Stimulus, trace: ObservedTrace, *, flags_only: bool = True
) -> tuple[list[SequentialConverter], int]:
    """Those that agree for longest, and for how many cycles."""
    agreed = [_agreed(m, stimulus, trace, flags_only=flags_only) for m in models]
    longest = max(agreed)
    return [m for m, cycles in zip(models, agreed, strict=True) if cycles == longest], longest


def _candidate(model: SequentialConverter) -> Candidate:
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
    for rising, wait, shape, until in itertools.product(edges, ready, shapes, busy):
        if shape != "acknowledged" or (wait == ready[-1] and not rising):
            yield Handshake(shape, 1 if shape == "acknowledged" else wait, until, rising, delay)


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


def _longest(model: SequentialConverter, delay: int, stimulus: Stimulus, trace: ObservedTrace) -> int | None:
    """Clocks of the longest conversion; a start that was not taken only counts for less."""
    schedule = Schedule.read(trace, model.roles, delay)
    starts = stimulus.starts.tolist()
    if model.roles.start:
        asked = (stimulus.values[1] == 1) & (stimulus.reset == Reset.RELEASED)
        starts = stimulus.starts[asked].tolist()
    if len(starts) == 0:
        return None
    clocks = [done - at for at in starts if (done := schedule.next(at + 1)) is not None]
    return min(max(clocks), model.max_cycles) if clocks else None


def _agreed(model: SequentialConverter, stimulus: Stimulus, trace: ObservedTrace, *, flags_only: bool) -> int:
    """Cycles up to the first difference, under the better kind of reset."""
    followed = model.follow(stimulus, trace)
    # A reset at the very beginning is seen whatever its kind.
    later = (stimulus.reset[1:] != Reset.RELEASED).any()
    kinds = tuple(ResetKind) if later else (ResetKind.ASYNCHRONOUS,)
    return max(_first_difference(followed, stimulus, trace, kind, flags_only=flags_only) for kind in kinds)


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
