"""Generated stimuli: Hypothesis draws short sentences, this module spells them out as runs.

A sentence is drawn as a number of words and a string of bytes, since Hypothesis's price is per draw
and drawing costs more than playing. Each word names a duration, what is done meanwhile, and a number
for every data input. Small bytes are short and harmless, and a word of zeros says nothing, so a
failing sentence shrinks towards one that a person can follow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import hypothesis
from hypothesis import HealthCheck, Phase
from hypothesis import strategies as st

from verify.models.golden import CombinationalModel, GoldenModel, Guided
from verify.signals import Reset, Run, Stimulus, joined
from verify.stimulus.budget import Budget
from verify.stimulus.vocabulary import Hand, corners

__all__ = ["Generated", "held_in_batches", "search", "sentences"]

SHORT_CYCLES = (1, 2, 3, 4, 5, 7, 11, 18)
"""Durations that are always on offer."""

CONTROLS_COMBINED = 4
"""Up to so many controls are tried in every combination, more of them one at a time."""

MOST_WORDS = 20
"""Of a sentence."""

BATCH_EXAMPLES, BATCH_CYCLES = 64, 20_000
"""So many stimuli, or a little more than so many clocks, are played in one burst."""


@dataclass(frozen=True, slots=True)
class Generated:
    """What a search came to; ``failing`` is the smallest failing stimulus found."""

    examples: int
    clocks: int
    failing: Stimulus | None


class _Differs(Exception):
    """The design did not do what the model promises."""


def held_in_batches(
    model: GoldenModel,
    *,
    resets: tuple[Reset, ...],
    seed: int,
    budget: Budget,
    holds: Callable[[Stimulus], bool],
) -> int | None:
    """Ask ``holds`` about many stimuli of :func:`search` at once, joined; None: all of them hold.

    Else how many came before the batch that fails. Exceptions of ``holds`` pass through.
    """
    batch: list[Stimulus] = []
    clocks = [0]
    asked = [0]
    bad: list[int] = []

    def ask() -> bool:
        if batch and not bad:
            if not holds(joined(batch)):
                bad.append(asked[0])
            asked[0] += len(batch)
            batch.clear()
            clocks[0] = 0
        return not bad

    def take(stimulus: Stimulus) -> bool:
        if bad:
            return False
        batch.append(stimulus)
        clocks[0] += stimulus.length
        full = len(batch) == BATCH_EXAMPLES or clocks[0] > BATCH_CYCLES
        # An example that fails is drawn again by Hypothesis: from here on all of them fail.
        return ask() if full else True

    search(model, resets=resets, seed=seed, budget=budget, holds=take, shrinking=False)
    ask()
    return bad[0] if bad else None


def search(
    model: GoldenModel,
    *,
    resets: tuple[Reset, ...],
    seed: int,
    budget: Budget,
    holds: Callable[[Stimulus], bool],
    shrinking: bool = True,
) -> Generated:
    """Draw stimuli until one fails ``holds``, then let Hypothesis make it small if ``shrinking``.

    The same seed draws the same stimuli everywhere. Exceptions of ``holds`` pass through.
    """
    played = [0, 0]
    failing: list[Stimulus] = []

    @hypothesis.seed(seed)
    @hypothesis.settings(
        max_examples=_examples(model, budget),
        database=None,
        deadline=None,
        derandomize=False,
        print_blob=False,
        report_multiple_bugs=False,
        phases=[Phase.generate, *([Phase.shrink] if shrinking else [])],
        suppress_health_check=list(HealthCheck),
        verbosity=hypothesis.Verbosity.quiet,
    )
    @hypothesis.given(sentences(Hand(model, resets), budget))
    def example(stimulus: Stimulus) -> None:
        played[0] += 1
        played[1] += stimulus.length
        if not holds(stimulus):
            failing.append(stimulus)
            raise _Differs

    try:
        example()
    except _Differs:
        return Generated(played[0], played[1], failing[-1])
    return Generated(played[0], played[1], None)


def _examples(model: GoldenModel, budget: Budget) -> int:
    """Without state the directed stimuli already hold the transitions: a few examples are enough."""
    examples = budget.examples // 4 if isinstance(model, CombinationalModel) else budget.examples
    return max(examples, 1)


def sentences(hand: Hand, budget: Budget) -> st.SearchStrategy[Stimulus]:
    """Stimuli of up to twenty runs, each starting from reset where there is one."""
    durations = _durations(hand, budget)
    doings = _doings(hand)
    numbers = {index: _Numbers(hand.limit(index)) for index in hand.data}
    size = 2 + sum(number.size for number in numbers.values())

    def run(word: bytes) -> Run:
        toggled, reset = doings[word[1] % len(doings)]
        at, values = 2, {}
        for index, number in numbers.items():
            values[index] = hand.encode(index, number.read(word[at : at + number.size]))
            at += number.size
        values |= {index: 1 - hand.resting[index] for index in toggled}
        return Run(durations[word[0] % len(durations)], hand.with_values(values), reset)

    def spell(drawn: tuple[int, bytes]) -> Stimulus:
        count, text = drawn
        words = [text[at : at + size] for at in range(0, count * size, size)]
        spelled = [run(word) for word in words if any(word)]
        return Stimulus.of(hand.signals, [*hand.begin(), *spelled, hand.rest(durations[-1] + 2)])

    length = MOST_WORDS * size
    return st.tuples(st.integers(1, MOST_WORDS), st.binary(min_size=length, max_size=length)).map(spell)


def _durations(hand: Hand, budget: Budget) -> tuple[int, ...]:
    """Short ones, and those that end around the first landmarks."""
    if isinstance(hand.model, CombinationalModel):
        return (1, 2)
    marks = hand.model.landmarks()[:4] if isinstance(hand.model, Guided) else ()
    aimed = {m + d for m in marks for d in (-1, 0, 1, 2) if 0 < m + d <= budget.example_cycles}
    return tuple(sorted({*SHORT_CYCLES, *aimed}))


def _doings(hand: Hand) -> tuple[tuple[tuple[int, ...], Reset], ...]:
    """Which controls are off rest, and what the reset does; the harmless ones first."""
    controls = hand.controls
    if len(controls) <= CONTROLS_COMBINED:
        sets = [
            tuple(c for bit, c in enumerate(controls) if mask >> bit & 1)
            for mask in range(1 << len(controls))
        ]
    else:
        sets = [(), *((c,) for c in controls)]
    doings = [(toggled, Reset.RELEASED) for toggled in sorted(sets, key=len)]
    doings += [((), reset) for reset in hand.resets]
    return tuple(doings)


class _Numbers:
    """Numbers from 0 to ``limit``, one from ``size`` bytes: every other one a corner."""

    def __init__(self, limit: int) -> None:
        self._limit, self._corners = limit, corners(limit)
        self.size = 1 + (max(limit, len(self._corners)).bit_length() + 7) // 8

    def read(self, word: bytes) -> int:
        number = int.from_bytes(word[1:], "big")
        if word[0] % 2:
            return number % (self._limit + 1)
        return self._corners[number % len(self._corners)]
