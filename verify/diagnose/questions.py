"""Stimuli that put an explanation to the test."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from verify.diagnose.bent.events import TooLong
from verify.diagnose.candidates import Candidates
from verify.diagnose.matching import Standing
from verify.models.golden import GoldenModel
from verify.signals import Stimulus
from verify.stimulus import Budget, plan

__all__ = ["questions"]

CYCLES = 100_000
"""Clocks of one question at most."""

ALL_CYCLES = 150_000
"""Clocks of all questions together."""

MOST = 8
MODELS = 2
SEED = 7


def questions(candidates: Candidates, standing: Sequence[Standing]) -> Iterator[Stimulus]:
    """What a check would drive, aimed at the landmarks of the edited models, the shortest first."""
    budget = Budget(trip_cycles=CYCLES, aimed_cycles=30_000, transitions=2_000, exhaustive_bits=12)
    found: list[Stimulus] = []
    for model in _models(candidates, standing):
        try:
            stages = list(plan(model, reset=candidates.check.reset is not None, seed=SEED, budget=budget))
        except TooLong:
            continue
        found += [stage.stimulus for stage in stages if 0 < stage.stimulus.length <= CYCLES]
    spent = 0
    for stimulus in sorted(_distinct(found), key=lambda s: s.length)[:MOST]:
        spent += stimulus.length
        if spent > ALL_CYCLES:
            return
        yield stimulus


def _distinct(stimuli: Sequence[Stimulus]) -> list[Stimulus]:
    """Each once."""
    keys = {
        (s.cycles.tobytes(), s.reset.tobytes(), *(v.tobytes() for v in s.values if v.dtype != object)): s
        for s in stimuli
    }
    return list(keys.values())


def _models(candidates: Candidates, standing: Sequence[Standing]) -> list[GoldenModel]:
    models = [candidates.reading.model, *(s.edit.model for s in standing[:MODELS])]
    return [m for m in models if m.inputs == candidates.reading.model.inputs]
