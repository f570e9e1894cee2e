"""A design without a parameter for its clock: the numbers in its text that count clocks, made smaller.

Many a design has ``49_999_999`` where another has a parameter. With the same number divided in every
place where it stands it is the same design at another ratio, as far as numbers can tell: what it is
worth is for the runs to show that hold it against the design as it is on the board.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from verify.bench.resolved import ResolvedCheck
from verify.design.sources import Dialect
from verify.design.written_numbers import WrittenNumber, texts_with, written_numbers
from verify.errors import DesignError

__all__ = [
    "FAMILIES_WITH_STAGES",
    "ScaledConstant",
    "clock_constants",
    "common_clocks",
    "ratio_of",
    "with_scaled_constants",
]

FAMILIES_WITH_STAGES = frozenset({"timer", "display"})
"""Models that count so many periods that only a smaller ratio lets them be played."""

SMALLEST_COUNT = 20_000
"""A smaller number is too easily one that has nothing to do with the clock."""

LESS = (0, 1, -1, 2)
"""What a design may have taken off a count: a terminal count is one less, and some are miscounted."""

USUAL_PARTS = (1, 2)
"""A whole period, or half of one for a square wave; others count only where there is none of these."""


@dataclass(frozen=True, slots=True)
class ScaledConstant:
    """A number of the text that is ``clocks`` less ``less``."""

    number: WrittenNumber
    clocks: int
    less: int

    def at(self, factor: int) -> int:
        """The number with the clocks divided."""
        return self.clocks // factor - self.less


def ratio_of(check: ResolvedCheck) -> int:
    """Clocks of the fastest count of ``check``; 0 where it is not known."""
    ratio = check.options.get("ratio")
    return ratio if isinstance(ratio, int) else 0


def clock_constants(check: ResolvedCheck) -> tuple[ScaledConstant, ...]:
    """The numbers that count whole periods, or halves of one; else those that count other parts of it."""
    ratio = ratio_of(check)
    if check.family.name not in FAMILIES_WITH_STAGES or ratio < SMALLEST_COUNT:
        return ()
    target = check.target
    try:
        numbers = written_numbers(target.sources, Dialect(target.include_folders, dict(target.defines)))
    except DesignError:
        return ()
    found = [c for n in numbers if (c := _constant(n, ratio)) is not None]
    usual = [c for c in found if any(c.clocks * part % ratio == 0 for part in USUAL_PARTS)]
    return tuple(usual or found)


def _constant(number: WrittenNumber, ratio: int) -> ScaledConstant | None:
    if number.value < SMALLEST_COUNT:
        return None
    for less in LESS:
        clocks = number.value + less
        if clocks % ratio == 0 or ratio % clocks == 0:
            return ScaledConstant(number, clocks, less)
    return None


def common_clocks(check: ResolvedCheck, constants: Iterable[ScaledConstant]) -> int:
    """What a factor has to divide."""
    return math.gcd(ratio_of(check), *(constant.clocks for constant in constants))


def with_scaled_constants(
    check: ResolvedCheck, constants: Sequence[ScaledConstant], factor: int
) -> ResolvedCheck:
    """The check at a ratio that is ``factor`` times smaller; unchanged where that cannot be had."""
    if not constants or common_clocks(check, constants) % factor:
        return check
    return replace(
        check,
        target=replace(check.target, edited=texts_with({c.number: c.at(factor) for c in constants})),
        options=_options(check.options, {c.clocks for c in constants}, factor),
        speedup=factor,
    )


def _options(options: Mapping[str, Any], scaled: set[int], factor: int) -> dict[str, Any]:
    """``first`` goes with a period, or with half of one; the dwell of a scan may be one of the numbers."""
    ratio, first = options["ratio"], options.get("first")
    changed: dict[str, Any] = {"ratio": ratio // factor}
    if isinstance(first, int):
        part = 2 if 4 * first < 3 * ratio else 1
        changed["first"] = max(first - ratio // part + ratio // factor // part, 1)
    scan = options.get("scan")
    if isinstance(scan, Mapping) and scan.get("dwell") in scaled:
        changed["scan"] = {**scan, "dwell": scan["dwell"] // factor}
    return {**options, **changed}
