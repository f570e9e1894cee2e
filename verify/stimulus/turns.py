"""Stimuli for what shows a number part by part: every value has to be there in every part's turn."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from verify.models.golden import InTurns
from verify.signals import Run, Stimulus
from verify.stimulus.budget import Budget
from verify.stimulus.stage import Stage
from verify.stimulus.vocabulary import Hand, corners

__all__ = ["every_turn"]

MOST_RUNS = 100_000
TIMES = 2
"""So many rounds of all values fit into one turn, so that one of them lies in it whole."""


def every_turn(hand: Hand, rng: np.random.Generator, budget: Budget) -> Iterator[Stage]:
    """Every value of every data input while each part is shown, as far as the budget goes.

    Where a turn is long enough all values pass by in it; else each of them stays for a whole round
    of turns.
    """
    model = hand.model
    if not isinstance(model, InTurns) or not hand.data or hand.controls:
        return
    states = max(hand.limit(i) for i in hand.data) + 1
    turn, around = model.turn_cycles, model.turns * model.turn_cycles
    held = turn // (TIMES * states)
    if held >= 1 and (model.turns + 1) * TIMES * states <= MOST_RUNS:
        rows = -(-(around + turn) // held)
        name = "every value in every turn"
    else:
        held = around + 1
        rows = min(states, MOST_RUNS, max(budget.trip_cycles // held, 1))
        name = "every value for a whole round" if rows == states else "some values for a whole round"
    columns = [_shuffled(hand, index, rows, rng) for index in hand.data]
    rows_of = (hand.with_values(dict(zip(hand.data, row, strict=True))) for row in zip(*columns, strict=True))
    runs = [*hand.begin(), *(Run(held, row) for row in rows_of)]
    yield Stage(name, Stimulus.of(hand.signals, runs))


def _shuffled(hand: Hand, index: int, rows: int, rng: np.random.Generator) -> list[int]:
    """All values in random order, again and again; the corners first where there is no time for all."""
    limit = hand.limit(index)
    found: list[int] = []
    if rows < limit:
        found = list(corners(limit))
    while len(found) < rows:
        found += rng.permutation(limit + 1).tolist()
    return [hand.encode(index, number) for number in found[:rows]]
