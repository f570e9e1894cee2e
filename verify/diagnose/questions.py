"""Stimuli that put an explanation to the test."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from verify.diagnose.bent.events import TooLong
from verify.diagnose.candidates import Candidates
from verify.diagnose.kinds import is_table
from verify.diagnose.matching import Standing
from verify.diagnose.observation import Observation
from verify.models.display_scanned import ScannedDisplay
from verify.models.display_static import StaticDisplay
from verify.models.golden import GoldenModel, Guided, at_rest
from verify.signals import Reset, Run, Stimulus
from verify.stimulus import Budget, Stage, plan
from verify.stimulus.vocabulary import Hand

__all__ = ["longer_look", "questions", "rest"]

CYCLES = 100_000
"""Clocks of one question at most."""

ALL_CYCLES = 150_000
"""Clocks of all questions together."""

MIXED = frozenset({"random controls", "conversions in any order", "corners and random values"})
"""Stages of a plan in which everything is driven in any order."""

LOOK_CYCLES, LOOK_ROWS = 100_000, 5_000
"""A longer look at the design at rest, in clocks and in changes of its outputs."""

LOOK_ROUNDS = 32
"""So many times what the golden model needs to come round."""

RESET_CYCLES = 3

TRANSITIONS, SLOW_TRANSITIONS = 2_000, 500
"""Of a question that drives everything in any order; the fewer where each of them costs more to play."""

MOST = 8
MODELS = 2
SEED = 7


def questions(candidates: Candidates, standing: Sequence[Standing]) -> Iterator[Stimulus]:
    """What a check would drive, aimed at the landmarks of the edited models.

    The shortest first; but soon those that do everything in any order, which tell the most.
    """
    slow = isinstance(candidates.reading.model, (ScannedDisplay, StaticDisplay))
    transitions = SLOW_TRANSITIONS if slow else TRANSITIONS
    budget = Budget(trip_cycles=CYCLES, aimed_cycles=30_000, transitions=transitions, exhaustive_bits=12)
    found: list[Stage] = []
    for model in _models(candidates, standing):
        try:
            stages = list(plan(model, resets=candidates.check.resets, seed=SEED, budget=budget))
        except TooLong:
            continue
        found += [stage for stage in stages if 0 < stage.stimulus.length <= CYCLES]
    ordered = sorted(_distinct(found), key=lambda stage: stage.stimulus.length)
    mixed = [stage for stage in ordered[1:] if stage.name in MIXED]
    rest = [stage for stage in ordered[1:] if stage.name not in MIXED]
    spent = 0
    for stage in [*ordered[:1], *mixed, *rest][:MOST]:
        spent += stage.stimulus.length
        if spent > ALL_CYCLES:
            return
        yield stage.stimulus


def rest(model: GoldenModel, cycles: int, *, reset: bool) -> Stimulus:
    """All inputs at rest, after a reset if there is one."""
    values = at_rest(model)
    begin = [Run(RESET_CYCLES, values, Reset.HELD)] if reset else []
    return Stimulus.of(model.inputs, [*begin, *Hand(model, ()).go(), Run(cycles, values)])


def longer_look(candidates: Candidates, seen: Sequence[Observation]) -> Stimulus | None:
    """The design at rest for longer than anything seen so far; None: it would show no more.

    A check ends at its first difference, so that what comes of it later has not been seen yet.
    """
    model = candidates.reading.model
    if is_table(model):
        return None
    rows = sum(o.rows for o in seen if o.observed is not None)
    cycles = sum(o.stimulus.length for o in seen if o.observed is not None)
    round_ = model.full_cycle if isinstance(model, Guided) else 1
    most = min(LOOK_CYCLES, LOOK_ROUNDS * round_, LOOK_ROWS * cycles // max(rows, 1))
    if any(o.stimulus.length >= most for o in seen if o.fails):
        return None
    return rest(model, most, reset=candidates.check.reset is not None)


def _distinct(stages: Sequence[Stage]) -> list[Stage]:
    """Each once."""
    keys = {}
    for stage in stages:
        s = stage.stimulus
        values = (v.tobytes() for v in s.values if v.dtype != object)
        keys[(s.cycles.tobytes(), s.reset.tobytes(), *values)] = stage
    return list(keys.values())


def _models(candidates: Candidates, standing: Sequence[Standing]) -> list[GoldenModel]:
    models = [candidates.reading.model, *(s.edit.model for s in standing[:MODELS])]
    return [m for m in models if m.inputs == candidates.reading.model.inputs]
