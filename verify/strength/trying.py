"""One mutant from its text to its fate. Runs in a worker process."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from verify.bench import Bench, load_bench, resolve
from verify.bench.schema import Check
from verify.checks.mixed_reset import run_with_any_reset
from verify.checks.planning import plan_check
from verify.checks.refusal import allowing
from verify.checks.scaled.laboratory import QuickRun
from verify.checks.settings import Settings, SilentListener
from verify.errors import BenchError, DesignError, EveryedgeError, SimulationFault
from verify.results import CheckResult, Verdict
from verify.simulation import Limits
from verify.strength.changed import changed_design
from verify.strength.comparing import compare_designs
from verify.strength.mutation import Mutation, Trial
from verify.workers import Tell

__all__ = ["Assignment", "TryJob", "try_mutation"]

LIMITS = Limits(stall_seconds=3.0, wait_seconds=60.0)
"""A mutant that hangs is found out sooner than a user's design."""
QUICK_EXAMPLES = 20
"""Generated stimuli of the first run, which most mutants do not outlive."""
COMPARE_SEEDS = (1, 2)


@dataclass(frozen=True, slots=True)
class Assignment:
    """A bench, the names of its checks that count, and the speed-up at which each passed."""

    bench: Path
    checks: tuple[tuple[str, int], ...]
    allow: tuple[str, ...] = ()
    seed: int | None = None
    facts: tuple[tuple[str, str, str, str], ...] = ()
    """What was measured on the original: check, fact, value and the bench line that pins it."""


@dataclass(frozen=True, slots=True)
class TryJob:
    """One mutant, in a process of its own."""

    assignment: Assignment
    mutation: Mutation

    def run(self, tell: Tell) -> Trial:
        """What becomes of it."""
        del tell
        return try_mutation(self.assignment, self.mutation)


def try_mutation(assignment: Assignment, mutation: Mutation) -> Trial:
    """Run the bench on the changed design, quickly first; compare what passes with the original."""
    bench = allowing(load_bench(assignment.bench), assignment.allow)
    checks = [
        (check, speedup)
        for name, speedup in assignment.checks
        for check in bench.checks
        if check.name == name
    ]
    with changed_design(bench, mutation) as changed:
        try:
            results = []
            for whole in (False, True):
                for check, speedup in checks:
                    told = _tried(changed, check, speedup, assignment, whole=whole)
                    if isinstance(told, str):
                        return Trial(mutation, "killed", told)
                    results.append(told)
            trial = _compared(bench, changed, checks, mutation)
            left_open = _left_open(bench, changed, checks, assignment, results)
            return _with_hint(trial, left_open) if left_open else trial
        except DesignError as error:
            if "loop" in error.message:
                return Trial(mutation, "killed", error.message)
            return Trial(mutation, "stillborn", error.message.splitlines()[0])


def _tried(
    bench: Bench, check: Check, speedup: int, assignment: Assignment, *, whole: bool
) -> str | CheckResult:
    """Why the mutant does not pass, or how it does. Raises DesignError for one that is no design."""
    settings = Settings(seed=assignment.seed, limits=LIMITS)
    try:
        if whole:
            result = run_with_any_reset(plan_check(bench, check), settings, SilentListener())[0].result
        else:
            resolved = resolve(bench, check, speedup=speedup)
            quick = replace(settings, examples=QUICK_EXAMPLES)
            result = QuickRun(resolved, quick, SilentListener()).run().result
    except BenchError as error:
        return f"the bench does not fit it: {error.message}"
    except DesignError:
        raise
    except EveryedgeError as error:
        return error.message
    if result.verdict is Verdict.PASS:
        return result
    if result.verdict is Verdict.UNDECIDED and not whole and result.failure is None:
        return result  # the whole check may yet decide
    return f"{result.name}: {result.verdict.value}: {result.reason}"


def _left_open(
    bench: Bench,
    changed: Bench,
    checks: list[tuple[Check, int]],
    assignment: Assignment,
    results: list[CheckResult],
) -> str:
    """The line that the bench lacks, where it takes from the design what the mutant has changed."""
    for check, _ in checks:
        ours, theirs = (
            {p.name: p.value for p in resolve(b, check).module.parameters if not p.local}
            for b in (bench, changed)
        )
        for name, value in ours.items():
            if theirs.get(name, value) != value:
                return f"the bench takes {name} from the design: say parameters = {{ {name} = {value} }}"
    measured = {
        (result.name, fact.name): str(fact.value)
        for result in results
        for fact in result.facts
        if fact.source == "measured"
    }
    for check_name, fact, here, pin in assignment.facts:
        there = measured.get((check_name, fact), here)
        if there != here:
            how = f"pin it: {pin}" if pin else "no line of a bench pins it"
            return f"the bench leaves {fact} open, and {there} was measured, {here} in the original: {how}"
    return ""


def _with_hint(trial: Trial, hint: str) -> Trial:
    if trial.difference is None:
        return trial
    return replace(trial, difference=replace(trial.difference, hint=hint))


def _compared(bench: Bench, changed: Bench, checks: list[tuple[Check, int]], mutation: Mutation) -> Trial:
    clocks = 0
    every = True
    for check, speedup in checks:
        original = resolve(bench, check, speedup=speedup)
        mutant = resolve(changed, check, speedup=speedup)
        for seed in COMPARE_SEEDS:
            try:
                comparison = compare_designs(original, mutant, seed, LIMITS)
            except SimulationFault as fault:
                return Trial(mutation, "survived", f"beside the original: {fault.message}", clocks)
            clocks += comparison.clocks
            every &= comparison.every_input
            if comparison.difference is not None:
                return Trial(mutation, "survived", "it passes", clocks, comparison.difference)
            if comparison.every_input:
                break
    what = f"every input value, {clocks:,} of them" if every else f"{clocks:,} clocks"
    return Trial(mutation, "no_difference", f"no difference found in {what}", clocks)
