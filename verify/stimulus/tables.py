"""Stimuli for what has no state: converters and decoders."""

from __future__ import annotations

import math

import numpy as np

from verify.signals import Column, Reset, Run, Stimulus, column
from verify.stimulus.budget import Budget
from verify.stimulus.stage import Stage
from verify.stimulus.vocabulary import Hand, corners

__all__ = ["disturbed", "every_value", "first_values", "transitions"]

TAIL_CYCLES = 80
"""Steady cycles at the end, so that the last value comes out of any pipeline."""


def first_values(hand: Hand, rng: np.random.Generator) -> Stimulus:
    """Every value of a small decoder, else random ones, then resets among changing data."""
    small, columns = _grid(hand, 8)
    rows = max(300, 2 * len(small))
    data = _mixed(hand, rng, rows)
    if columns is not None:
        data = tuple(
            column(np.concatenate([c, d]), s.width)
            for c, d, s in zip(columns, data, hand.signals, strict=True)
        )
    stimulus = _opened(hand, Stimulus.dense(hand.signals, data))
    return stimulus.then(disturbed(hand, rng).stimulus) if hand.resets else stimulus


def every_value(hand: Hand, rng: np.random.Generator, budget: Budget) -> Stage:
    """All values of all inputs where they are few enough, else the corners and random ones."""
    _, columns = _grid(hand, budget.exhaustive_bits)
    if columns is not None:
        return Stage(
            "every input value", _opened(hand, Stimulus.dense(hand.signals, columns)), exhaustive=True
        )
    rows = [
        hand.with_values({index: hand.encode(index, number)})
        for index in range(len(hand.signals))
        for number in corners(hand.limit(index))
    ]
    near = tuple(column([row[i] for row in rows], s.width) for i, s in enumerate(hand.signals))
    far = hand.random_columns(20_000, rng)
    both = tuple(
        column(np.concatenate([a, b]), s.width) for a, b, s in zip(near, far, hand.signals, strict=True)
    )
    return Stage("corners and random values", _opened(hand, Stimulus.dense(hand.signals, both)))


def transitions(hand: Hand, rng: np.random.Generator, budget: Budget) -> Stage:
    """Random changes from any value to any other, corners among them."""
    return Stage(
        "transitions", _opened(hand, Stimulus.dense(hand.signals, _mixed(hand, rng, budget.transitions)))
    )


def disturbed(hand: Hand, rng: np.random.Generator) -> Stage:
    """Resets held and pulsed between edges while the data changes on every clock."""
    runs = hand.begin()
    data = [c.tolist() for c in _mixed(hand, rng, 400)]
    for row, values in enumerate(zip(*data, strict=True)):
        reset = Reset.RELEASED
        if row % 23 == 11 and hand.pulses:
            reset = hand.pulses[row // 23 % len(hand.pulses)]
        elif row % 37 in (20, 21, 22):
            reset = Reset.HELD
        runs.append(Run(1 + (row % 11 == 5), values, reset))
    runs.append(hand.rest(TAIL_CYCLES))
    return Stage("reset while data changes", Stimulus.of(hand.signals, runs))


def _opened(hand: Hand, stimulus: Stimulus) -> Stimulus:
    """Reset before, steady cycles after."""
    last = Stimulus.of(hand.signals, [Run(TAIL_CYCLES, tuple(int(c[-1]) for c in stimulus.values))])
    stimulus = stimulus.then(last)
    return Stimulus.of(hand.signals, hand.begin()).then(stimulus) if hand.resets else stimulus


def _mixed(hand: Hand, rng: np.random.Generator, rows: int) -> tuple[Column, ...]:
    """Random legal values, one in four a corner."""
    columns = []
    for index, random in enumerate(hand.random_columns(rows, rng)):
        signal = hand.signals[index]
        if signal.width == 1:
            columns.append(column(rng.integers(0, 2, rows), 1))
            continue
        edge = column([hand.encode(index, n) for n in corners(hand.limit(index))], signal.width)
        pick = edge[rng.integers(0, len(edge), rows)]
        columns.append(column(np.where(rng.random(rows) < 0.25, pick, random), signal.width))
    return tuple(columns)


def _grid(hand: Hand, bits: int) -> tuple[range, tuple[Column, ...] | None]:
    """Every combination of legal input values, or None when there are more than 2^``bits`` of them."""
    if not hand.signals or math.prod(hand.limit(i) + 1 for i in range(len(hand.signals))) > 1 << bits:
        return range(0), None
    axes = [
        np.array([hand.encode(i, n) for n in range(hand.limit(i) + 1)], dtype=np.int64)
        for i in range(len(hand.signals))
    ]
    # the widest input changes fastest, so that counting through a converter looks like counting
    order = sorted(range(len(axes)), key=lambda i: hand.signals[i].width)
    grids = np.meshgrid(*(axes[i] for i in order), indexing="ij")
    by_index = dict(zip(order, (g.ravel() for g in grids), strict=True))
    columns = tuple(column(by_index[i], s.width) for i, s in enumerate(hand.signals))
    return range(len(columns[0])), columns
