"""Stimuli for converters that take a start and say when they are done."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from verify.models.golden import Guided
from verify.signals import Run, Stimulus
from verify.stimulus.budget import Budget
from verify.stimulus.stage import Stage
from verify.stimulus.vocabulary import Hand, corners

__all__ = ["conversions", "first_conversions", "is_sequential", "one_conversion"]

EXHAUSTIVE_BITS = 10
"""A conversion takes some dozens of clocks, so only narrow inputs are swept."""

MANY = 2_000
"""Random conversions where the input is too wide for a sweep."""


def is_sequential(hand: Hand) -> bool:
    """Whether the model is started and then needs time."""
    return any(s.name == "binary" for s in hand.signals)


def first_conversions(hand: Hand, rng: np.random.Generator) -> Stimulus:
    """A dozen conversions, each given more than time enough."""
    return _convert(hand, _random(hand, 12, rng), rng, slack=3)


def conversions(hand: Hand, rng: np.random.Generator, budget: Budget) -> Iterator[Stage]:
    """Every value (or the corners and random ones), spaced, and then back to back."""
    index = _binary(hand)
    limit = hand.limit(index)
    exhaustive = limit < 1 << min(EXHAUSTIVE_BITS, budget.exhaustive_bits)
    numbers = list(range(limit + 1)) if exhaustive else [*corners(limit), *_random(hand, MANY, rng)]
    yield Stage(
        "every conversion" if exhaustive else "conversions",
        _convert(hand, numbers, rng),
        exhaustive=exhaustive,
    )
    shuffled = [numbers[i] for i in rng.permutation(len(numbers))[:300]]
    yield Stage("conversions in any order", _convert(hand, shuffled, rng, slack=2))


def _convert(hand: Hand, numbers: list[int], rng: np.random.Generator, slack: int = 1) -> Stimulus:
    """Start each number, then change the input while the conversion runs: it must have been taken."""
    index = _binary(hand)
    start, wait = _start(hand), _cycles(hand) * slack
    runs = [*hand.begin(), hand.rest(3)]
    others = _random(hand, len(numbers), rng)
    for number, other in zip(numbers, others, strict=True):
        value = hand.encode(index, number)
        if start is None:
            runs.append(Run(2 * wait, hand.with_values({index: value})))
            continue
        after = hand.with_values({index: hand.encode(index, other)})
        runs += [
            Run(1, hand.with_values({index: value, start: 1})),
            Run(wait + int(rng.integers(0, 4)), after),
        ]
    return Stimulus.of(hand.signals, runs)


def one_conversion(hand: Hand, values: tuple[int, ...]) -> list[Run]:
    """Start what is on the input in ``values``, and let it end."""
    index, start = _binary(hand), _start(hand)
    begun = {index: values[index]} | ({} if start is None else {start: 1})
    return [Run(1, hand.with_values(begun)), Run(_cycles(hand), hand.with_values({index: values[index]}))]


def _start(hand: Hand) -> int | None:
    return next((c for c in hand.controls if hand.signals[c].name == "start"), None)


def _cycles(hand: Hand) -> int:
    """Clocks that a conversion takes, as far as the model knows."""
    return hand.model.full_cycle if isinstance(hand.model, Guided) else 64


def _binary(hand: Hand) -> int:
    return next(i for i, s in enumerate(hand.signals) if s.name == "binary")


def _random(hand: Hand, count: int, rng: np.random.Generator) -> list[int]:
    limit = hand.limit(_binary(hand))
    return [int.from_bytes(rng.bytes(limit.bit_length() // 8 + 2), "big") % (limit + 1) for _ in range(count)]
