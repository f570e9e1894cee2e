"""Choose the speed-up factor: as large as it gets while every derived constant stays in proportion."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator
from fractions import Fraction

from verify.timescale.finding import Finding
from verify.timescale.judging import SHORTEST_CLOCKS
from verify.timescale.survey import Survey

__all__ = ["SMALLEST_RATIO", "choose_factor", "divisors", "factors", "scaling_problems"]

SMALLEST_RATIO = 4
"""Clocks per unit that are left: enough for a terminal count, a reload and a register between."""

_SLOW_CLOCKS = 10_000
"""A unit that keeps more clocks than this makes long runs too slow to be of use."""

_TRIES = 200

_OF_SCALING = frozenset(
    {
        "becomes_zero",
        "branch",
        "inexact",
        "loses_remainder",
        "negative",
        "not_elaborated",
        "not_proportional",
        "too_short",
    }
)


def scaling_problems(findings: Collection[Finding], *, rounding: bool = True) -> list[Finding]:
    """The findings that another factor could do without; ``rounding`` False: not those about rounding."""
    return [f for f in findings if f.unsound and f.kind in _OF_SCALING and (rounding or f.kind != "inexact")]


def choose_factor(
    survey: Survey,
    *,
    smallest_ratio: int = SMALLEST_RATIO,
    usable: Callable[[int], bool] = lambda _: True,
) -> int:
    """The largest factor at which nothing that is counted leaves its proportion; 1 when there is none.

    ``smallest_ratio``: clocks that must be left of the clock parameter. Where the design rounds on
    the board already, no useful factor can be exact; then one that is exact in all else is taken.
    """
    if not survey.natives:
        return 1
    native = min(survey.natives.values())
    strict = _first(survey, factors(survey, smallest_ratio), usable, rounding=True)
    if native // strict <= _SLOW_CLOCKS or all(c.denominator == 1 for c in survey.counts):
        return strict
    loose = _first(survey, factors(survey, smallest_ratio, rounded=False), usable, rounding=False)
    return max(strict, loose)


def _first(
    survey: Survey, candidates: Iterator[int], usable: Callable[[int], bool], *, rounding: bool
) -> int:
    for _, factor in zip(range(_TRIES), candidates, strict=False):
        if not scaling_problems(survey.findings(factor), rounding=rounding) and usable(factor):
            return factor
    return 1


def factors(survey: Survey, smallest_ratio: int = SMALLEST_RATIO, *, rounded: bool = True) -> Iterator[int]:
    """Factors above 1 that divide all that is counted and leave enough of it, largest first.

    ``rounded``: also what the design rounds, as it is rounded.
    """
    counted = [count for count in survey.counts if count >= SHORTEST_CLOCKS]
    wanted = [int(c) for c in counted if rounded or c.denominator == 1]
    common = math.gcd(*survey.natives.values(), *wanted)
    shortest = min(counted, default=Fraction(common))
    largest = min(min(survey.natives.values()) // smallest_ratio, int(shortest / SHORTEST_CLOCKS))
    return (factor for factor in divisors(common) if 1 < factor <= largest)


def divisors(number: int) -> Iterator[int]:
    """All divisors of a positive number, largest first."""
    small = [n for n in range(1, math.isqrt(number) + 1) if number % n == 0]
    yield from (number // n for n in small if n * n != number)
    yield from reversed(small)
