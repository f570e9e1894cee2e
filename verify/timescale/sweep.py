"""The ratio sweep: the same check at many small values of the clock parameter.

A counter that is right at one ratio may be right by luck: a width that happens to wrap there, an
even number, a power of two. Five ratios are run as a rule, because a simulation costs half a second
to start and they tell apart what usually goes wrong: 3 and 5 are odd and no powers of two, 16 is one
and 17 needs a bit more, 257 does not fit eight bits. All ratios are run on demand, or when reading
the design has left a doubt.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction

from verify.timescale.factor import scaling_problems
from verify.timescale.laboratory import Laboratory, ShortRun
from verify.timescale.survey import Survey

__all__ = ["ALL_RATIOS", "USUAL_RATIOS", "sweep", "sweep_problem", "sweep_values"]

USUAL_RATIOS = (3, 5, 16, 17, 257)
ALL_RATIOS = (2, 3, 4, 5, 7, 10, 16, 17, 100, 255, 256, 257, 1000)

_PERIODS = 24
_SHORTEST_BURST_CYCLES = 6_000


def sweep_values(survey: Survey, ratios: Iterable[int]) -> tuple[int, ...]:
    """Values of the clock parameter at which the fastest divider has about these ratios.

    Only values at which every derived constant stays exact, and below the native one, so that what
    differs there is no fault of the value. With a native power of two (a watch crystal), a design
    may well count on it: then only powers of two.
    """
    natives = list(survey.natives.values())
    native = natives[0]
    counts = [count for count in survey.counts if count.denominator == 1 and count > 1]
    share = min(counts, default=Fraction(native)) / native
    unit = math.lcm(1, *((count / native).denominator for count in counts))
    powers_only = native & (native - 1) == 0
    values: dict[int, None] = {}
    for ratio in ratios:
        value = math.ceil(Fraction(ratio) / share / unit) * unit
        if value >= native or (powers_only and value & (value - 1)):
            continue
        factor = Fraction(native, value)
        if all((Fraction(n) / factor).denominator == 1 for n in natives) and not scaling_problems(
            survey.findings(factor)
        ):
            values[value] = None
    return tuple(values)


def sweep(laboratory: Laboratory, values: Sequence[int], shortest: int) -> tuple[ShortRun, ...]:
    """Short runs at ``values``; it ends at the second that differs.

    ``shortest``: the value of the scaled run; what differs below it may simply need more clocks.
    """
    runs: list[ShortRun] = []
    for value in values:
        limit = max(_SHORTEST_BURST_CYCLES, _PERIODS * value)
        runs.append(laboratory.at(value, cycles_limit=limit))
        if sum(run.agrees is False and run.value >= shortest for run in runs) > 1:
            break
    return tuple(runs)


def sweep_problem(runs: Sequence[ShortRun], name: str, shortest: int) -> str | None:
    """What speaks against the design at other ratios; a difference below ``shortest`` does not."""
    wrong = [run for run in runs if run.agrees is False and run.value >= shortest]
    if not wrong:
        return None
    first = min(wrong, key=lambda run: run.value)
    return f"at {name} = {first.value:,} the design differs: {first.text}"
