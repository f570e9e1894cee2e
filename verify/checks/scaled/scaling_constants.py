"""A check of a design that has numbers in its text where others have a parameter for the clock.

The numbers are made smaller (:mod:`verify.bench.scaled_constants`), and the whole check runs at that
ratio. It counts only with the native second: the design as it is, compared on every edge over its
first periods. What the scaled run finds wrong it has to find at larger ratios as well, so that it goes
with the periods that were counted and not with the clocks. Where any of that is lacking there is no
outcome here, and the check runs at its native ratio, as far as it gets.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from verify.bench import ResolvedCheck
from verify.bench.scaled_constants import ScaledConstant, common_clocks, ratio_of, with_scaled_constants
from verify.checks.candidates import begins_halfway
from verify.checks.planning import Plan, constants_factor
from verify.checks.runner import CheckRun, Outcome
from verify.checks.scaled.echo import echo_of
from verify.checks.scaled.hidden_carries import clearer_ratio
from verify.checks.scaled.laboratory import CheckLaboratory
from verify.checks.settings import Listener, Settings
from verify.results import CheckResult, Fact, Speedup, Verdict
from verify.stimulus import Stage
from verify.timescale.factor import divisors
from verify.timescale.laboratory import NativeRun, ShortRun
from verify.timescale.sweep import sweep, sweep_problem
from verify.timescale.verdict import judged
from verify.wording import toml_text

__all__ = ["run_with_constants"]

ROOMY_RATIOS = (100, 250, 1_000)
"""Clocks per period at which a difference is looked for again: a slow block has room there."""

SWEPT_RATIOS = (16, 25, 256)

_LONGEST_PROBE_CYCLES = 8_000_000
_LONGEST_ROOMY_CYCLES = 40_000_000
_PROBE_PERIODS = 64
_MOST_TOLD = 4


def run_with_constants(
    plan: Plan, settings: Settings, listener: Listener
) -> tuple[Outcome, ResolvedCheck] | None:
    """The outcome and the check as it was run in the end; None when nothing can be said this way."""
    return _Run(plan, settings, listener).run()


class _Laboratory(CheckLaboratory):
    """Other ratios come from the numbers in the text."""

    def __init__(self, plan: Plan, settings: Settings, listener: Listener) -> None:
        natives = {"ratio": ratio_of(plan.native)}
        super().__init__(plan.bench, plan.check, natives, plan.native, settings, listener)
        self._constants = plan.constants

    def _resolved(self, value: int) -> ResolvedCheck:
        return with_scaled_constants(self._native, self._constants, ratio_of(self._native) // value)


class _Run:
    def __init__(self, plan: Plan, settings: Settings, listener: Listener) -> None:
        self._plan, self._settings, self._listener = plan, settings, listener
        self._ratio = ratio_of(plan.native)
        self._laboratory = _Laboratory(plan, settings, listener)
        self._told: list[str] = []

    def run(self) -> tuple[Outcome, ResolvedCheck] | None:
        check = self._plan.scaled
        with self._laboratory.built_ahead():
            outcome = CheckRun(check, self._settings, self._listener).run()
            if outcome.result.verdict is Verdict.PASS:
                outcome, check = self._clearer(outcome, check)
            elif outcome.result.verdict is Verdict.FAIL:
                outcome, check = self._at_larger_ratios(outcome, check)
            if outcome.result.verdict not in (Verdict.PASS, Verdict.FAIL):
                return None
            self._laboratory.scaled, self._laboratory.found = check, _trusted(outcome.result)
            native = self._laboratory.native_second()
        if native.agrees is None or (native.agrees and self._early(outcome.result, check)):
            return None
        passed = outcome.result.verdict is Verdict.PASS
        swept = self._swept(check) if passed and native.agrees else ()
        problem = sweep_problem(swept, "ratio", ratio_of(check))
        if problem is not None:
            return None
        speedup = Speedup(
            check.speedup,
            sound=bool(native.agrees),
            evidence=tuple(self._evidence(outcome.result, check, native, swept)),
            problems=() if native.agrees else (f"one native second differs: {native.text}",),
            places=() if native.agrees else (None,),
            definite=not native.agrees,
        )
        result = judged(_on_the_board(outcome.result, self._plan, check), speedup, native)
        kept = outcome.confirmed if result.failure is outcome.result.failure else None
        return Outcome(result, kept), check

    def _clearer(self, outcome: Outcome, check: ResolvedCheck) -> tuple[Outcome, ResolvedCheck]:
        """Once more at a ratio at which digits are seen to take their carries, where they were not."""
        native, constants = self._plan.native, self._plan.constants
        ratios = [self._ratio // factor for factor in divisors(common_clocks(native, constants))]
        wanted = clearer_ratio(check, outcome.result, ratios, self._settings.cycles_limit)
        if wanted is None:
            return outcome, check
        check = with_scaled_constants(native, constants, self._ratio // wanted)
        return CheckRun(check, self._settings, self._listener).run(), check

    # --- what the scaled run finds wrong ---------------------------------------------------------

    def _at_larger_ratios(self, outcome: Outcome, check: ResolvedCheck) -> tuple[Outcome, ResolvedCheck]:
        """The same outcome where it differs at larger ratios, too; else that at the first that agrees."""
        seen: list[str] = []
        for wanted in ROOMY_RATIOS:
            factor = constants_factor(self._plan.native, self._plan.constants, wanted)
            value = self._ratio // factor
            periods = 2 * self._periods(outcome, check) + _PROBE_PERIODS
            if factor == 1 or value <= ratio_of(check) or periods * value > _LONGEST_PROBE_CYCLES:
                continue
            also = echo_of(outcome, ratio_of(check), value)
            if any(stage.stimulus.length > _LONGEST_PROBE_CYCLES for stage in also):
                continue
            short = self._laboratory.at(value, cycles_limit=periods * value, examples=100, also=also)
            if short.agrees is False:
                seen.append(f"{value:,}")
                continue
            outcome, check = self._again(factor, also)
            seen = []
            if outcome.result.verdict is not Verdict.FAIL:
                return outcome, check
        if not seen:  # a difference that comes and goes with the ratio says nothing about the board
            return Outcome(replace(outcome.result, verdict=Verdict.UNDECIDED), None), check
        self._told.append(f"it differs at {', '.join(seen)} clocks per period as well")
        return outcome, check

    def _again(self, factor: int, also: tuple[Stage, ...]) -> tuple[Outcome, ResolvedCheck]:
        check = with_scaled_constants(self._plan.native, self._plan.constants, factor)
        limit = self._settings.cycles_limit or _LONGEST_ROOMY_CYCLES
        outcome = CheckRun(check, replace(self._settings, cycles_limit=limit), self._listener, also).run()
        note = f"with fewer than {ratio_of(check):,} clocks per period it differs: a block needs the clocks"
        outcome.result = replace(outcome.result, notes=(*outcome.result.notes, note))
        return outcome, check

    def _periods(self, outcome: Outcome, check: ResolvedCheck) -> int:
        """So many periods are enough to see the difference again."""
        confirmed = outcome.confirmed
        length = 0 if confirmed is None else confirmed.stimulus.length
        return length // ratio_of(check) + 1

    def _early(self, result: CheckResult, check: ResolvedCheck) -> bool:
        """Whether it differs where the native second agrees, which drives no control."""
        if _is_controlled(check):
            return False
        mismatch = None if result.failure is None else result.failure.mismatch
        return mismatch is not None and mismatch.cycle <= ratio_of(check)

    # --- evidence --------------------------------------------------------------------------------

    def _swept(self, check: ResolvedCheck) -> tuple[ShortRun, ...]:
        plan, below = self._plan, ratio_of(check)
        factors = [constants_factor(plan.native, plan.constants, wanted) for wanted in SWEPT_RATIOS]
        values = dict.fromkeys(self._ratio // factor for factor in factors)
        return sweep(self._laboratory, [v for v in values if below < v < self._ratio], below)

    def _evidence(
        self, result: CheckResult, check: ResolvedCheck, native: NativeRun, swept: tuple[ShortRun, ...]
    ) -> list[str]:
        told = [
            "no parameter of the module carries the clock frequency: numbers in the text were made smaller"
        ]
        told += [_replaced(constant, check.speedup) for constant in self._plan.constants[:_MOST_TOLD]]
        if len(self._plan.constants) > _MOST_TOLD:
            told.append(f"and {len(self._plan.constants) - _MOST_TOLD} more of them")
        right = [f"{run.value:,}" for run in swept if run.agrees]
        if right:
            told.append(f"ratio sweep: agrees at {', '.join(right)} clocks per period")
        told += self._told
        if native.agrees:
            told.append(
                f"native second: {native.cycles:,} clocks of the design as it is compared on every edge on "
                f"{native.simulator}, no difference"
            )
        return [*told, f"whole check at {ratio_of(check):,} clocks per period: {result.cycles:,} clocks"]


def _replaced(constant: ScaledConstant, factor: int) -> str:
    number, place = constant.number, constant.number.place
    return f"{place.file.name}:{place.line}: {number.text} became {number.written_as(constant.at(factor))}"


def _on_the_board(result: CheckResult, plan: Plan, check: ResolvedCheck) -> CheckResult:
    """The facts that count clocks, as they are on the board."""
    return replace(result, facts=tuple(_fact(fact, plan, check) for fact in result.facts))


def _fact(fact: Fact, plan: Plan, check: ResolvedCheck) -> Fact:
    value: Any = fact.value
    if fact.source == "pinned" and fact.name in plan.native.options:
        value = plan.native.options[fact.name]
        if fact.name == "ratio" and "ratio" not in plan.check.expect:
            return replace(fact, value=value, source="default", pin="")
    elif fact.name == "first" and isinstance(value, int):
        parts = 2 if begins_halfway(check, value) else 1
        value += ratio_of(plan.native) // parts - ratio_of(check) // parts
    elif fact.name == "scan" and isinstance(value, dict):
        counted = {c.clocks for c in plan.constants}
        if value.get("dwell", 0) * check.speedup in counted:
            value = {**value, "dwell": value["dwell"] * check.speedup}
    if value == fact.value:
        return fact
    return replace(fact, value=value, pin=f"expect.{fact.name} = {toml_text(value)}")


def _trusted(result: CheckResult) -> CheckResult:
    """Without what was measured where nothing fits, but for the dwell of a scan."""
    if result.verdict is Verdict.PASS:
        return result
    return replace(result, latency=None, facts=tuple(f for f in result.facts if f.name == "scan"))


def _is_controlled(check: ResolvedCheck) -> bool:
    directions = {role.name: role.direction for role in check.family.roles}
    return any(directions[role] == "input" for role in check.roles)
