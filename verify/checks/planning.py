"""How a check will be run: on the board's parameter, and at which speed-up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from verify.bench import Bench, ResolvedCheck, resolve
from verify.bench.scaled_constants import (
    ScaledConstant,
    clock_constants,
    common_clocks,
    ratio_of,
    with_scaled_constants,
)
from verify.bench.schema import Check
from verify.checks.candidates import begins_halfway
from verify.errors import BenchError
from verify.results import CheckResult, Fact
from verify.timescale.factor import choose_factor, divisors
from verify.timescale.judging import SHORTEST_CLOCKS
from verify.timescale.survey import Survey

__all__ = ["SCALED_FAMILIES", "Plan", "constants_factor", "facts_on_the_board", "plan_check"]

SCALED_FAMILIES = frozenset({"divider", "timer", "display"})
"""Models whose period follows the clock frequency."""

IN_CLOCKS = ("ratio", "first", "high")
"""Options that count clocks of the board."""

SHORT_PERIOD_CYCLES = 100_000
"""A period that is played at its native length without trouble."""

SMALLEST_SCALED_RATIO, SMALLEST_SCANNED_RATIO = 10, 100
"""Clocks of a period that are left where numbers of the text are scaled; a scan goes on at its own pace."""

_SHORTEST_LITERAL = 1_000


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """One check, resolved on the board (``native``) and as it will be run (``scaled``).

    ``survey`` None: the module has no parameter that carries the clock, or need not be scaled.
    ``constants``: the numbers in the text that are scaled where there is no parameter.
    """

    bench: Bench
    check: Check
    native: ResolvedCheck
    scaled: ResolvedCheck
    survey: Survey | None = None
    constants: tuple[ScaledConstant, ...] = ()

    @property
    def chosen_here(self) -> bool:
        """Whether the bench leaves the factor to us."""
        return self.bench.clock is None or self.bench.clock.speedup in (None, "auto")

    @property
    def counts(self) -> tuple[Fraction, ...]:
        """What is counted on the board and scaled in the run, in clocks."""
        own = tuple(Fraction(constant.clocks) for constant in self.constants)
        return own if self.survey is None else self.survey.counts


def plan_check(bench: Bench, check: Check) -> Plan:
    """Resolve a check and choose its speed-up. Raises BenchError and DesignError."""
    native = resolve(bench, check)
    natives = _natives(bench, check, native)
    if not natives:
        return _without_parameter(bench, check, native)
    watched = {part.port for refs in native.roles.values() for ref in refs for part in ref.slices}
    outputs = {signal.name for signal in native.target.outputs}
    period = native.options.get("ratio")
    periods = [period] if isinstance(period, int) and period > 0 else []
    survey = Survey(native.target, natives, watched & outputs, periods)
    asked = bench.clock.speedup if bench.clock else None
    factor = asked if isinstance(asked, int) else _factor(bench, check, native, survey)
    scaled = resolve(bench, check, speedup=factor) if factor > 1 else native
    stuck = _stuck(native, scaled, survey) if factor > 1 else None
    if stuck is not None:
        raise _literal_error(bench, check, stuck, native, next(iter(natives.items())))
    return Plan(bench, check, native, scaled, survey)


def _without_parameter(bench: Bench, check: Check, native: ResolvedCheck) -> Plan:
    """Numbers in the text are scaled instead, where a period is long and they are found."""
    asked = bench.clock.speedup if bench.clock else None
    constants = clock_constants(native) if ratio_of(native) > SHORT_PERIOD_CYCLES else ()
    if not constants or asked == 1:
        return Plan(bench, check, native, native)
    ratio = SMALLEST_SCANNED_RATIO if "select" in native.roles else SMALLEST_SCALED_RATIO
    factor = asked if isinstance(asked, int) else constants_factor(native, constants, ratio)
    scaled = with_scaled_constants(native, constants, factor)
    return Plan(bench, check, native, scaled, constants=constants if scaled.speedup > 1 else ())


def constants_factor(native: ResolvedCheck, constants: Sequence[ScaledConstant], ratio: int) -> int:
    """The largest factor that leaves so many clocks of a period, and 2 of whatever is counted."""
    largest = min(ratio_of(native) // ratio, *(c.clocks // SHORTEST_CLOCKS for c in constants))
    return next(f for f in divisors(common_clocks(native, constants)) if f <= largest or f == 1)


def _natives(bench: Bench, check: Check, native: ResolvedCheck) -> dict[str, int]:
    """The parameters of the module that carry the clock frequency, with their native values."""
    if bench.clock is None or check.model not in SCALED_FAMILIES:
        return {}
    found = {}
    for name in native.clock_parameters:
        parameter = native.module.parameter(name)
        if parameter is not None and parameter.value is not None and not parameter.local:
            found[name] = parameter.value
    return found


def _factor(bench: Bench, check: Check, native: ResolvedCheck, survey: Survey) -> int:
    """The largest factor that design and bench allow; 1 for a short period that need not be scaled."""
    period = native.options.get("ratio")
    short = isinstance(period, int) and 0 < period <= SHORT_PERIOD_CYCLES
    if short and not survey.is_used:
        return 1
    stuck: list[str] = []

    def usable(factor: int) -> bool:
        try:
            scaled = resolve(bench, check, speedup=factor)
        except BenchError:
            return False
        found = _stuck(native, scaled, survey)
        stuck.extend([] if found is None else [found])
        return found is None or not short

    return choose_factor(survey, usable=usable)


def _stuck(native: ResolvedCheck, scaled: ResolvedCheck, survey: Survey) -> str | None:
    """An option that counts clocks and does not follow the clock parameter, although the design does."""
    if not survey.is_used:
        return None
    for name in IN_CLOCKS:
        value = native.options.get(name)
        if isinstance(value, int) and value >= _SHORTEST_LITERAL and scaled.options.get(name) == value:
            return name
    return None


def _literal_error(
    bench: Bench, check: Check, option: str, native: ResolvedCheck, clock: tuple[str, int]
) -> BenchError:
    name, frequency = clock
    value = native.options[option]
    index = next(i for i, other in enumerate(bench.checks) if other.name == check.name)
    expression = expression_of(value, name, frequency) or f"{name} / 1000"
    return BenchError(
        f'check "{check.name}", expect.{option}: found {value}, which stays when {name} is scaled down',
        place=bench.places.of("check", index, "expect", option),
        advice=f'write it as an expression, such as {option} = "{expression}"',
    )


def expression_of(clocks: int, name: str, frequency: int) -> str | None:
    """``clocks`` in terms of the clock parameter, if it is a part of it, give or take a few clocks."""
    for extra in range(-1, 9):
        whole = clocks - extra
        if whole > 0 and frequency % whole == 0:
            part = frequency // whole
            base = name if part == 1 else f"{name} / {part}"
            return base if extra == 0 else f"{base} {'+' if extra > 0 else '-'} {abs(extra)}"
    return None


def facts_on_the_board(result: CheckResult, plan: Plan, check: ResolvedCheck) -> CheckResult:
    """The facts of a scaled run with bench lines that hold on the board, too."""
    if check.speedup == 1 or plan.survey is None:
        return result
    name, frequency = next(iter(plan.survey.natives.items()))
    facts = [_on_the_board(fact, plan, check, name, frequency) for fact in result.facts]
    return replace(result, facts=tuple(facts))


def _on_the_board(fact: Fact, plan: Plan, check: ResolvedCheck, name: str, frequency: int) -> Fact:
    key = fact.name
    written = plan.check.expect.get(key)
    if isinstance(written, str) and fact.source == "pinned":
        return replace(fact, pin=f'expect.{key} = "{written}"')
    if key == "ratio" and written is None:
        return replace(fact, source="default", pin="")
    ratio, board = check.options.get("ratio"), plan.native.options.get("ratio")
    if (
        key != "first"
        or fact.source != "measured"
        or not isinstance(ratio, int)
        or not isinstance(board, int)
    ):
        return fact
    # A square's first edge comes after a part of its period, a tick and a timer's first step after one.
    half = ("square" in check.roles and "high" not in check.options) or begins_halfway(check, fact.value)
    halves = 2 if half else 1
    expression = expression_of(board // halves + fact.value - ratio // halves, name, frequency)
    return replace(fact, pin="" if expression is None else f'expect.first = "{expression}"')
