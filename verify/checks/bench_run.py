"""All checks of a bench file, and replays."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path

from verify.bench import Bench, ResolvedCheck, load_bench, resolve
from verify.bench.schema import Check
from verify.checks.differing.replays import Replay, load_replay, save_replay
from verify.checks.differing.rerun import rerun
from verify.checks.mixed_reset import run_with_any_reset
from verify.checks.passing.pins import refuse_unpinned
from verify.checks.planning import Plan, plan_check
from verify.checks.readable import require_readable
from verify.checks.refusal import allowing, refuse_unsafe
from verify.checks.runner import Outcome
from verify.checks.scaled.scan_rate import with_scan_rate
from verify.checks.settings import Listener, Settings, SilentListener
from verify.checks.side_by_side import SideBySide
from verify.errors import BenchError, Place
from verify.results import CheckResult, RunResult

__all__ = ["check_bench", "opened", "ready_checks", "replay", "run_check", "run_ready"]


def check_bench(
    bench: str | os.PathLike[str], settings: Settings | None = None, listener: Listener | None = None
) -> RunResult:
    """Run the checks of the bench file at ``bench``.

    Raises the errors of :mod:`verify.errors` for what cannot be started; what starts ends in a
    result.
    """
    bench, settings, listener = Path(bench), settings or Settings(), listener or SilentListener()
    if settings.jobs is not None and settings.jobs > 1:
        with SideBySide(settings.jobs) as beside:
            done = beside.order(bench, settings).results(listener)
        if settings.frozen:
            refuse_unpinned(done.checks)
        return done
    began = time.monotonic()
    results = []
    for plan in ready_checks(bench, settings):
        result = run_ready(plan, bench, settings, listener)
        listener.check_finished(result)
        results.append(result)
    if settings.frozen:
        refuse_unpinned(results)
    return RunResult(tuple(results), bench, time.monotonic() - began)


def opened(bench: Path, settings: Settings) -> Bench:
    """The bench file, with what the caller allows beside it. Raises BenchError."""
    return allowing(load_bench(bench), settings.allow)


def ready_checks(bench: Path, settings: Settings) -> list[Plan]:
    """The checks of a bench file, ready to run. Raises BenchError, DesignError."""
    loaded = opened(bench, settings)
    wanted = _wanted(loaded, settings)
    require_readable(loaded)
    ready = [plan_check(loaded, check) for check in wanted]
    for plan in ready:
        refuse_unsafe(plan.native)
    return ready


def run_check(bench: Bench, check: Check, path: Path, settings: Settings, listener: Listener) -> CheckResult:
    """Run one check of a bench that stands, or will stand, in the file at ``path``."""
    return run_ready(plan_check(bench, check), path, settings, listener)


def _wanted(bench: Bench, settings: Settings) -> list[Check]:
    names = [check.name for check in bench.checks]
    for name in settings.only:
        if name not in names:
            raise BenchError(
                f"no check is called {name!r}",
                place=Place(bench.path) if bench.path else None,
                advice="the checks are: " + ", ".join(names),
            )
    return [check for check in bench.checks if not settings.only or check.name in settings.only]


def run_ready(plan: Plan, bench: Path, settings: Settings, listener: Listener) -> CheckResult:
    """Run one check of the bench file at ``bench``."""
    outcome, check = run_with_any_reset(plan, settings, listener)
    outcome.result = with_scan_rate(outcome.result, plan.bench, plan.check, check, plan.counts)
    return _with_replay(outcome, check, bench)


def _with_replay(outcome: Outcome, check: ResolvedCheck, bench: Path) -> CheckResult:
    """A failure that repeats is kept, so that it can be played again."""
    confirmed, result = outcome.confirmed, outcome.result
    if confirmed is None or not confirmed.repeats:
        return result
    replay_file = Replay.of(
        bench.resolve(),
        check.name,
        confirmed.trial.reading,
        confirmed.stimulus,
        speedup=check.speedup,
        seed=result.seed,
        simulator=result.simulator,
        first_difference=confirmed.trial.difference.first or 0,
    )
    try:
        return replace(result, replay=save_replay(replay_file, bench.resolve().parent))
    except OSError as error:
        return replace(result, notes=(*result.notes, f"the replay could not be kept: {error}"))


def replay(
    file: str | os.PathLike[str], settings: Settings | None = None, listener: Listener | None = None
) -> RunResult:
    """Play a replay file again: the same stimulus, held against the same reading.

    Raises the errors of :mod:`verify.errors`.
    """
    file, settings, listener = Path(file), settings or Settings(), listener or SilentListener()
    began = time.monotonic()
    kept = load_replay(file)
    bench = opened(kept.bench, settings)
    check = next((c for c in bench.checks if c.name == kept.check), None)
    if check is None:
        raise BenchError(
            f"the bench has no check called {kept.check!r} any more",
            place=Place(kept.bench),
            advice="run the check again to make a new replay",
        )
    require_readable(bench)
    resolved = resolve(bench, check, speedup=kept.speedup)
    listener.check_started(kept.check, sum(kept.cycles))
    result = replace(rerun(resolved, kept, file, settings), replay=file)
    result = with_scan_rate(result, bench, check, resolved)
    listener.check_finished(result)
    return RunResult((result,), kept.bench, time.monotonic() - began)
