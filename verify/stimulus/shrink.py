"""Make a failing stimulus one that a person can follow.

Hypothesis shrinks what it drew; the directed stimuli are shrunk here, by leaving runs out, making
runs shorter and putting inputs to rest, as long as the design still fails.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from verify.models.golden import GoldenModel
from verify.signals import Reset, Run, Stimulus
from verify.stimulus.vocabulary import Hand

__all__ = ["shrink"]

MOST_CLOCKS = 1_000_000
"""Clocks spent on making a stimulus small: seconds, whatever its length."""

ENDS_RUNS = (16, 256, 4096)
"""How much of the end of a long stimulus is tried before all of it."""

Oracle = Callable[[Stimulus], int | None]
"""The first differing cycle of a stimulus, None when nothing differs."""


def shrink(
    model: GoldenModel,
    stimulus: Stimulus,
    fails: Oracle,
    *,
    resets: tuple[Reset, ...],
    tries: int = 150,
    clocks: int = MOST_CLOCKS,
) -> Stimulus | None:
    """The smallest failing stimulus found within ``tries`` calls of ``fails`` over ``clocks`` in all.

    The opening reset stays. The result ends with the failing cycle. None: ``stimulus`` does not fail.
    """
    hand = Hand(model, resets)
    attempt = _Attempt(hand, fails, tries, clocks)
    if not (_end_alone(attempt, stimulus) or attempt(list(stimulus.runs()))):
        return None
    before = None
    while before != attempt.best and attempt.left > 0:
        before = attempt.best
        _leave_out(attempt)
        _shorten(attempt)
        _calm(attempt)
    return Stimulus.of(model.inputs, attempt.best)


class _Attempt:
    """Remembers the best runs so far; calling it tries others."""

    def __init__(self, hand: Hand, fails: Oracle, tries: int, clocks: int) -> None:
        self.hand, self._fails, self.left, self._clocks = hand, fails, tries, clocks
        self.best: list[Run] = []
        self.kept = len(hand.begin())

    def __call__(self, runs: list[Run]) -> bool:
        if self.left <= 0 or not runs:
            return False
        self.left -= 1
        stimulus = Stimulus.of(self.hand.signals, runs)
        self._clocks -= stimulus.length
        if self._clocks < 0 and self.best:
            # what is left may still be shorter, but not this
            self._clocks += stimulus.length
            return False
        cycle = self._fails(stimulus)
        if cycle is None:
            return False
        self.best = _cut(runs, stimulus, cycle)
        return True


def _end_alone(attempt: _Attempt, stimulus: Stimulus) -> bool:
    """Try the last few runs behind the opening: a long table of values mostly needs no more."""
    opening = attempt.hand.begin()
    return any(
        attempt([*opening, *stimulus.last_runs(count)])
        for count in ENDS_RUNS
        if count < len(stimulus) - len(opening)
    )


def _cut(runs: list[Run], stimulus: Stimulus, cycle: int) -> list[Run]:
    """Only what leads to the failing cycle."""
    last = int(np.searchsorted(stimulus.starts, cycle, side="right")) - 1
    shorter = Run(cycle - int(stimulus.starts[last]) + 1, runs[last].values, runs[last].reset)
    return [*runs[:last], shorter]


def _leave_out(attempt: _Attempt) -> None:
    """Drop stretches of runs, long stretches first."""
    size = max(len(attempt.best) // 2, 1)
    while size >= 1 and attempt.left > 0:
        at = attempt.kept
        while at < len(attempt.best) and attempt.left > 0:
            if not attempt(attempt.best[:at] + attempt.best[at + size :]):
                at += size
        size //= 2


def _shorten(attempt: _Attempt) -> None:
    """Make each run as short as it may be, by halving the step."""
    for at in range(attempt.kept, len(attempt.best)):
        if at >= len(attempt.best):
            return
        step = attempt.best[at].cycles - 1
        while step >= 1 and attempt.left > 0 and at < len(attempt.best):
            run = attempt.best[at]
            if run.cycles > step:
                shorter = Run(run.cycles - step, run.values, run.reset)
                if attempt([*attempt.best[:at], shorter, *attempt.best[at + 1 :]]):
                    continue
            step //= 2


def _calm(attempt: _Attempt) -> None:
    """Put inputs to rest and take resets away, one run at a time."""
    resting = attempt.hand.resting
    for at in range(attempt.kept, len(attempt.best)):
        if at >= len(attempt.best):
            return
        run = attempt.best[at]
        if run.reset is not Reset.RELEASED:
            attempt([*attempt.best[:at], Run(run.cycles, run.values), *attempt.best[at + 1 :]])
        for index, rest in enumerate(resting):
            if at >= len(attempt.best):
                return
            run = attempt.best[at]
            if run.values[index] != rest and attempt.left > 0:
                values = (*run.values[:index], rest, *run.values[index + 1 :])
                attempt([*attempt.best[:at], Run(run.cycles, values, run.reset), *attempt.best[at + 1 :]])
