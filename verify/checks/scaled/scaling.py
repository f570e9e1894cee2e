"""A check of a module whose clock parameter can be scaled down, from the factor to the verdict."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import nullcontext
from dataclasses import replace
from fractions import Fraction

from verify.bench import ResolvedCheck, resolve
from verify.bench.scaled_constants import ratio_of
from verify.checks.planning import SCALED_FAMILIES, Plan, facts_on_the_board
from verify.checks.runner import CheckRun, Outcome
from verify.checks.scaled.echo import echo_of
from verify.checks.scaled.hidden_carries import clearer_ratio
from verify.checks.scaled.laboratory import CheckLaboratory
from verify.checks.scaled.scaling_constants import run_with_constants
from verify.checks.settings import Listener, Settings
from verify.results import CheckResult, Speedup, Verdict
from verify.stimulus import Stage
from verify.timescale.examine import Evidence, examine, without_parameter
from verify.timescale.factor import factors, scaling_problems
from verify.timescale.laboratory import NativeRun, ShortRun
from verify.timescale.survey import Survey
from verify.timescale.sweep import ALL_RATIOS, USUAL_RATIOS, sweep, sweep_values
from verify.timescale.verdict import judged

__all__ = ["run_plan"]

ROOMY_RATIOS = (1024, 16, 64, 256)
"""Clocks per unit tried when the scaled run differs: first one that has room for a slow block."""

ANOTHER_FACTOR = "leave speedup out of [clock], and a factor that the design allows is chosen"

_LONGEST_PROBE_CYCLES = 4_000_000
_LONGEST_ROOMY_CYCLES = 30_000_000
_PROBE_UNITS = 64


def run_plan(plan: Plan, settings: Settings, listener: Listener) -> tuple[Outcome, ResolvedCheck]:
    """The outcome with its speed-up examined, and the check as it was run in the end."""
    if plan.survey is not None:
        return _Examination(plan, plan.survey, settings, listener).run()
    if plan.constants and (scaled := run_with_constants(plan, settings, listener)) is not None:
        return scaled
    outcome = CheckRun(plan.native, settings, listener).run()
    clocked = plan.bench.clock is not None and plan.bench.clock.frequency is not None
    if clocked and plan.check.model in SCALED_FAMILIES:
        outcome.result = replace(outcome.result, speedup=without_parameter(outcome.result))
    return outcome, plan.native


class _Examination:
    """Gathers the evidence for one outcome."""

    def __init__(self, plan: Plan, survey: Survey, settings: Settings, listener: Listener) -> None:
        self._plan, self._survey, self._settings, self._listener = plan, survey, settings, listener
        name = next(iter(survey.natives))
        self._native_value = survey.natives[name]
        self._laboratory = CheckLaboratory(
            plan.bench, plan.check, survey.natives, plan.native, settings, listener
        )
        self._remarks: list[str] = []

    def run(self) -> tuple[Outcome, ResolvedCheck]:
        scaled = self._plan.scaled
        with nullcontext() if scaled.speedup == 1 else self._laboratory.built_ahead():
            return self._of(CheckRun(scaled, self._settings, self._listener).run())

    def _of(self, outcome: Outcome) -> tuple[Outcome, ResolvedCheck]:
        check = self._plan.scaled
        if outcome.result.verdict is Verdict.PASS and self._plan.chosen_here:
            outcome, check = self._clearer(outcome, check)
        elif outcome.result.verdict is Verdict.FAIL and check.speedup > 1:
            outcome, check = self._with_room(outcome, check)
        speedup, native = self._examined(outcome.result, check)
        result = facts_on_the_board(judged(outcome.result, speedup, native), self._plan, check)
        if result.verdict is Verdict.UNDECIDED and speedup.sound is False and not self._plan.chosen_here:
            result = replace(result, settled_by=(*result.settled_by, ANOTHER_FACTOR))
        kept = outcome.confirmed if result.failure is outcome.result.failure else None
        return Outcome(result, kept), check

    def _clearer(self, outcome: Outcome, check: ResolvedCheck) -> tuple[Outcome, ResolvedCheck]:
        """Once more at a ratio at which digits are seen to take their carries, where they were not."""
        native = ratio_of(self._plan.native)
        usable = {
            native // f: f for f in factors(self._survey) if not scaling_problems(self._survey.findings(f))
        }
        wanted = clearer_ratio(check, outcome.result, usable, self._settings.cycles_limit)
        if wanted is None:
            return outcome, check
        check = resolve(self._plan.bench, self._plan.check, speedup=usable[wanted])
        return CheckRun(check, self._settings, self._listener).run(), check

    def _examined(self, result: CheckResult, check: ResolvedCheck) -> tuple[Speedup, NativeRun]:
        factor, survey = check.speedup, self._survey
        findings = survey.findings(factor, _dwell(result))
        self._laboratory.scaled, self._laboratory.found = check, result
        clean = result.verdict is not Verdict.FAIL
        native = NativeRun(None, text="the check itself ran at the native ratio")
        runs: tuple[ShortRun, ...] = ()
        if factor > 1:
            doubt = any(f.unsound for f in findings) or bool(self._remarks)
            native = NativeRun(None, text="the scaled run differs already")
            if clean or doubt or any(f.kind == "fixed" for f in findings):
                native = self._laboratory.native_second()
            if clean and native.agrees is not False and not any(f.definite for f in findings):
                runs = self._swept(factor, doubt=doubt)
            if native.agrees and not clean and self._early(result):
                self._remarks.append("the scaled run differs where the native second agrees")
        evidence = Evidence(survey, factor, result, findings, runs, native, self._remarks)
        return examine(evidence), native

    def _swept(self, factor: int, *, doubt: bool) -> tuple[ShortRun, ...]:
        thorough = self._settings.thorough or doubt or not self._survey.followers
        scaled = self._native_value // factor
        values = sweep_values(self._survey, ALL_RATIOS if thorough else USUAL_RATIOS)
        return sweep(self._laboratory, [value for value in values if value != scaled], scaled)

    def _early(self, result: CheckResult) -> bool:
        """Whether the difference comes in what a native second covers."""
        mismatch = None if result.failure is None else result.failure.mismatch
        return mismatch is not None and mismatch.cycle <= self._native_value // self._laboratory.factor

    # --- room for slow blocks ------------------------------------------------------------------

    def _with_room(self, outcome: Outcome, check: ResolvedCheck) -> tuple[Outcome, ResolvedCheck]:
        """Whether the difference is only there because a block needs more clocks than are left.

        A converter that takes twenty clocks is right on the board and late at a ratio of four. If a
        run with plenty of clocks, in which the same is driven at the same steps, shows no difference,
        the check is run again at the largest factor at which it shows none.
        """
        roomy = self._roomy(outcome, check)
        if roomy is None:
            return outcome, check
        value = self._native_value // roomy
        scaled = self._native_value // check.speedup
        told = f"at a clock parameter of {scaled:,} it differs, from {value:,} on it does not"
        if not self._plan.chosen_here:
            self._remarks.append(f"{told}: a block needs more clocks than the factor leaves")
            return outcome, check
        again = resolve(self._plan.bench, self._plan.check, speedup=roomy)
        limit = self._settings.cycles_limit or _LONGEST_ROOMY_CYCLES
        also = self._echo(outcome, check, roomy)
        rerun = CheckRun(again, replace(self._settings, cycles_limit=limit), self._listener, also).run()
        if rerun.result.verdict is Verdict.FAIL:
            return outcome, check
        rerun.result = replace(rerun.result, notes=(*rerun.result.notes, f"{told}: a block needs the clocks"))
        return rerun, again

    def _roomy(self, outcome: Outcome, check: ResolvedCheck) -> int | None:
        """The largest factor below the check's at which short runs show no difference."""
        failure = outcome.result.failure
        if failure is None or failure.mismatch is None or outcome.confirmed is None:
            return None
        units = outcome.confirmed.stimulus.length * check.speedup // self._native_value + 1
        found = None
        for ratio in ROOMY_RATIOS:
            factor = self._factor_with(ratio, check.speedup)
            if factor is None or factor == found:
                continue
            value = self._native_value // factor
            limit = (2 * units + _PROBE_UNITS) * value
            also = self._echo(outcome, check, factor)
            if max(limit, *(stage.stimulus.length for stage in also)) > _LONGEST_PROBE_CYCLES:
                continue
            if self._laboratory.at(value, cycles_limit=limit, examples=100, also=also).agrees:
                if found is not None:
                    return factor
                found = factor
            elif found is None:
                return None
        return found

    def _echo(self, outcome: Outcome, check: ResolvedCheck, factor: int) -> tuple[Stage, ...]:
        """What showed the difference, as it is to be driven at another factor."""
        before, after = (max(int(self._shortest / divisor), 1) for divisor in (check.speedup, factor))
        return echo_of(outcome, before, after)

    @property
    def _shortest(self) -> Fraction | int:
        """Clocks of the fastest divider on the board."""
        return min((c for c in self._survey.counts if c > 1), default=self._native_value)

    def _factor_with(self, ratio: int, below: int) -> int | None:
        """The largest factor that leaves the fastest divider so many clocks."""
        largest = int(self._shortest / ratio)
        wanted: Iterator[int] = (f for f in factors(self._survey) if f <= min(largest, below - 1))
        return next((f for f in wanted if not scaling_problems(self._survey.findings(f))), None)


def _dwell(result: CheckResult) -> list[int]:
    """Clocks that a digit of a scan is shown for: they need not be in proportion to the second."""
    found: list[int] = []
    for fact in result.facts:
        if isinstance(fact.value, dict):
            found += (v for k, v in fact.value.items() if k in {"dwell", "blanking"} and isinstance(v, int))
        elif fact.name.rpartition(".")[2] in {"dwell", "blanking"} and isinstance(fact.value, int):
            found.append(fact.value)
    return found
