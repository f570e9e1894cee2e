"""Generated stimuli: Hypothesis draws short sentences, this module spells them out as runs.

A draw is a list of small integers, one per run, because drawing costs more than playing: each
names a duration and what is done meanwhile. Small numbers are short and harmless, so a failing
sentence shrinks towards one that a person can follow.
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
    model: GoldenModel, *, reset: bool, seed: int, budget: Budget, holds: Callable[[Stimulus], bool]
) -> int | None:
    """Ask ``holds`` about many stimuli of :func:`search` at once, joined; None: all of them hold.

    Else how many came before the batch that fails. Exceptions of ``holds`` pass through.
    """
    batch: list[Stimulus] = []
    asked = [0]
    bad: list[int] = []

    def ask() -> bool:
        if batch and not bad:
            if not holds(joined(batch)):
                bad.append(asked[0])
            asked[0] += len(batch)
            batch.clear()
        return not bad

    def take(stimulus: Stimulus) -> bool:
        if bad:
            return False
        batch.append(stimulus)
        full = len(batch) == BATCH_EXAMPLES or sum(s.length for s in batch) > BATCH_CYCLES
        # An example that fails is drawn again by Hypothesis: from here on all of them fail.
        return ask() if full else True

    search(model, reset=reset, seed=seed, budget=budget, holds=take, shrinking=False)
    ask()
    return bad[0] if bad else None


def search(
    model: GoldenModel,
    *,
    reset: bool,
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
    @hypothesis.given(sentences(Hand(model, reset), budget))
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
    word = st.integers(0, len(durations) * len(doings) - 1)
    numbers = [_numbers(hand, index) for index in hand.data]
    words = st.tuples(word, *numbers) if numbers else word.map(lambda choice: (choice,))
    runs = st.lists(words, min_size=1, max_size=20)

    def spell(drawn: list[tuple[int, ...]]) -> Stimulus:
        spelled = hand.begin()
        for choice, *data in drawn:
            cycles, (toggled, reset) = durations[choice % len(durations)], doings[choice // len(durations)]
            values = {
                index: hand.encode(index, number) for index, number in zip(hand.data, data, strict=True)
            }
            values |= {index: 1 - hand.resting[index] for index in toggled}
            spelled.append(Run(cycles, hand.with_values(values), reset))
        spelled.append(hand.rest(durations[-1] + 2))
        return Stimulus.of(hand.signals, spelled)

    return runs.map(spell)


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
    if hand.reset:
        doings += [((), Reset.HELD), ((), Reset.PULSED)]
    return tuple(doings)


def _numbers(hand: Hand, index: int) -> st.SearchStrategy[int]:
    limit = hand.limit(index)
    return st.one_of(st.sampled_from(corners(limit)), st.integers(0, limit))
