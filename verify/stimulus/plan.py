"""The directed stimuli of a model, cheapest and most telling first."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from verify.models.golden import CombinationalModel, GoldenModel
from verify.signals import Reset
from verify.stimulus.budget import Budget
from verify.stimulus.converters import conversions, first_conversions, is_sequential
from verify.stimulus.departures import departed
from verify.stimulus.machines import aimed, first_steps, loads, trip, tumble
from verify.stimulus.stage import Stage
from verify.stimulus.tables import disturbed, every_value, first_values, transitions
from verify.stimulus.turns import every_turn
from verify.stimulus.vocabulary import Hand

__all__ = ["Stage", "first_look", "plan"]


def first_look(model: GoldenModel, *, resets: tuple[Reset, ...], seed: int) -> Stage:
    """A short stimulus that tells latencies, kinds of reset and open facts apart."""
    hand, rng = Hand(model, resets), np.random.default_rng(seed)
    if isinstance(model, CombinationalModel):
        stimulus = first_values(hand, rng)
    elif is_sequential(hand):
        stimulus = first_conversions(hand, rng)
    else:
        stimulus = first_steps(hand, rng)
    return Stage("first look", stimulus)


def plan(model: GoldenModel, *, resets: tuple[Reset, ...], seed: int, budget: Budget) -> Iterator[Stage]:
    """All directed stimuli within the budget; each starts with a reset where there is one."""
    hand, rng = Hand(model, resets), np.random.default_rng([seed, 1])
    yield from (stage for stage in _stages(hand, rng, budget) if len(stage.stimulus) > 0)


def _stages(hand: Hand, rng: np.random.Generator, budget: Budget) -> Iterator[Stage]:
    if isinstance(hand.model, CombinationalModel):
        yield every_value(hand, rng, budget)
        yield transitions(hand, rng, budget)
        if hand.resets:
            yield disturbed(hand, rng)
        return
    if is_sequential(hand):
        yield from conversions(hand, rng, budget)
    yield from trip(hand, budget)
    yield from aimed(hand, budget)
    yield from departed(hand, budget)
    yield from loads(hand, rng, budget)
    yield from every_turn(hand, rng, budget)
    yield tumble(hand, rng)
