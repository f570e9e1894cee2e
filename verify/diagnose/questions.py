"""Stimuli that put an explanation to the test."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from verify.diagnose.bent.events import TooLong
from verify.diagnose.candidates import Candidates
from verify.diagnose.matching import Standing
from verify.models.golden import GoldenModel
from verify.signals import Stimulus
from verify.stimulus import Budget, Stage, plan

__all__ = ["questions"]

CYCLES = 100_000
"""Clocks of one question at most."""

ALL_CYCLES = 150_000
"""Clocks of all questions together."""

MIXED = frozenset({"random controls", "conversions in any order", "corners and random values"})
"""Stages of a plan in which everything is driven in any order."""

MOST = 8
MODELS = 2
SEED = 7


def questions(candidates: Candidates, standing: Sequence[Standing]) -> Iterator[Stimulus]:
    """What a check would drive, aimed at the landmarks of the edited models.

    The shortest first; but soon those that do everything in any order, which tell the most.
    """
    budget = Budget(trip_cycles=CYCLES, aimed_cycles=30_000, transitions=2_000, exhaustive_bits=12)
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
