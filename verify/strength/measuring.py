"""Measure a bench: all mutants side by side, those known from before left out."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import cast

from verify.bench import Bench, load_bench
from verify.bench.schema import Check
from verify.checks.engine import LOAD
from verify.checks.mixed_reset import run_with_any_reset
from verify.checks.planning import plan_check
from verify.checks.readable import require_readable
from verify.checks.refusal import allowing, refuse_unsafe
from verify.checks.settings import Settings, SilentListener
from verify.errors import BenchError, EveryedgeError, Place
from verify.results import Verdict
from verify.strength.collecting import mutations_of
from verify.strength.mutation import Mutation, Trial
from verify.strength.outcome import Strength
from verify.strength.remembering import Memory
from verify.strength.trying import Assignment, TryJob
from verify.workers import NO_LIMITS, Pool

__all__ = ["Progress", "measure_strength"]

Progress = Callable[[int, int, Trial | None], None]
"""Is told: how many are done, of how many, and the one that was done last."""

_SAVE_SECONDS = 10.0


def measure_strength(
    bench: Path,
    *,
    only: Sequence[str] = (),
    allow: Sequence[str] = (),
    seed: int | None = None,
    jobs: int | None = None,
    sample: int | None = None,
    remember: bool = True,
    progress: Progress | None = None,
) -> Strength:
    """Change the design in every way known and see which changes the bench finds.

    ``only``: names of checks. ``sample``: try so many, drawn by ``seed``. ``jobs``: processes, by
    default one per processor. Ends early on KeyboardInterrupt, with what was found until then in
    the cache. Raises BenchError when a check does not pass on the design as it is, and the errors
    of :mod:`verify.errors`.
    """
    began = time.monotonic()
    loaded = allowing(load_bench(bench), tuple(allow))
    require_readable(loaded)
    chosen = [check for check in loaded.checks if not only or check.name in only]
    _all_known(only, loaded)
    assignment = _assignment(loaded, bench, chosen, tuple(allow), seed)
    everything = mutations_of(loaded)
    wanted = everything
    if sample is not None and sample < len(everything):
        order = random.Random(seed or 1).sample(range(len(everything)), sample)  # noqa: S311 -- no secret
        wanted = [everything[index] for index in sorted(order)]
    memory = Memory(loaded, bench.read_bytes(), (assignment.checks, allow, seed)) if remember else None
    known = {m: trial for m in wanted if memory and (trial := memory.recall(m)) is not None}
    fresh = [mutation for mutation in wanted if mutation not in known]
    tell = progress or _silent
    tell(len(known), len(wanted), None)

    def heard(trial: Trial) -> None:
        known[trial.mutation] = trial
        if memory is not None:
            memory.keep(trial)
        tell(len(known), len(wanted), trial)

    recalled = len(known)
    try:
        _try_all(assignment, fresh, jobs or os.cpu_count() or 1, heard, memory)
    finally:
        if memory is not None:
            memory.save()
    trials = tuple(known[mutation] for mutation in wanted if mutation in known)
    untried = len(everything) - len(trials)
    return Strength(bench, trials, untried, time.monotonic() - began, recalled)


def _silent(_done: int, _total: int, _trial: Trial | None) -> None:
    """Nobody wants to know."""


def _all_known(only: Sequence[str], bench: Bench) -> None:
    names = [check.name for check in bench.checks]
    for name in only:
        if name not in names:
            raise BenchError(
                f"no check is called {name!r}",
                place=Place(bench.path) if bench.path else None,
                advice="the checks are: " + ", ".join(names),
            )


def _assignment(
    bench: Bench, path: Path, checks: Sequence[Check], allow: tuple[str, ...], seed: int | None
) -> Assignment:
    """Raises BenchError unless every check passes on the design as it is."""
    passed: list[tuple[str, int]] = []
    facts: list[tuple[str, str, str, str]] = []
    for check in checks:
        plan = plan_check(bench, check)
        refuse_unsafe(plan.native)
        outcome, ran = run_with_any_reset(plan, Settings(seed=seed), SilentListener())
        if outcome.result.verdict is not Verdict.PASS:
            raise BenchError(
                f'check "{check.name}" does not pass on the design as it is '
                f"({outcome.result.verdict.value}: {outcome.result.reason})",
                place=Place(path),
                advice="strength is measured on a design that passes: see everyedge check",
            )
        if ran.reset is not None and ran.reset != plan.native.reset:
            raise BenchError(
                f'check "{check.name}" passes with a reset that is mixed, and the bench does not say so',
                place=Place(path),
                advice='write kind = "mixed" in [reset]: a change of the reset could not be told otherwise',
            )
        passed.append((check.name, ran.speedup))
        facts += [
            (check.name, fact.name, str(fact.value), fact.pin)
            for fact in outcome.result.facts
            if fact.source == "measured"
        ]
    return Assignment(path.absolute(), tuple(passed), allow, seed, tuple(facts))


def _try_all(
    assignment: Assignment,
    mutations: Sequence[Mutation],
    jobs: int,
    heard: Callable[[Trial], None],
    memory: Memory | None,
) -> None:
    if not mutations:
        return
    saved = time.monotonic()
    with Pool(min(jobs, len(mutations)), NO_LIMITS, load=LOAD) as pool:
        for number, mutation in enumerate(mutations):
            pool.add(number, TryJob(assignment, mutation))
        for finished in pool.all():
            mutation = mutations[cast(int, finished.key)]
            heard(_trial(finished.outcome, mutation))
            if memory is not None and time.monotonic() - saved > _SAVE_SECONDS:
                memory.save()
                saved = time.monotonic()


def _trial(outcome: Trial | EveryedgeError, mutation: Mutation) -> Trial:
    """One mutant does not take the others with it."""
    if isinstance(outcome, EveryedgeError):
        return Trial(mutation, "survived", f"could not be tried: {outcome.message}")
    return outcome
