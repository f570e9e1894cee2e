"""``everyedge check`` and ``everyedge replay``."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from verify.cli.job import Job, run_jobs
from verify.cli.paths import split_paths
from verify.cli.reporting import Desk, Reporting
from verify.cli.selection import jobs_at_once, selected
from verify.results import RunResult

if TYPE_CHECKING:
    from verify.checks.settings import Listener

__all__ = ["check_paths", "replay_file"]


def check_paths(
    paths: Sequence[Path],
    *,
    only: tuple[str, ...],
    seed: int | None,
    thorough: bool,
    reporting: Reporting,
    jobs: int | None = None,
) -> int:
    """Check the benches that ``paths`` name, ``jobs`` checks at a time; the exit status."""
    with ExitStack() as stack:

        def find() -> list[Job]:
            benches, verilog = split_paths(paths)
            if verilog:
                return _inferred(verilog, only, seed, thorough, reporting)
            chosen = selected(benches, only)
            side_by_side = jobs_at_once(chosen, jobs)
            if side_by_side > 1:
                return _ordered(chosen, side_by_side, seed, thorough, reporting, stack)
            return [
                Job(bench, partial(_check, bench, names, seed, thorough, reporting))
                for bench, names in chosen
            ]

        return run_jobs(find, paths[0] if paths else Path(), reporting)


def _ordered(
    chosen: Sequence[tuple[Path, tuple[str, ...]]],
    side_by_side: int,
    seed: int | None,
    thorough: bool,
    reporting: Reporting,
    stack: ExitStack,
) -> list[Job]:
    """Jobs that begin at once, in processes of their own, and are told in their order."""
    from verify.checks.settings import Settings  # noqa: PLC0415 -- heavy
    from verify.checks.workshop import Workshop  # noqa: PLC0415 -- heavy

    workshop = stack.enter_context(Workshop(side_by_side))
    found = []
    for bench, names in chosen:
        settings = Settings(seed=seed, simulator=reporting.simulator, only=names, thorough=thorough)
        order = workshop.order(bench, settings)
        found.append(Job(bench, order.results, order.untold))
    return found


def replay_file(file: Path, *, reporting: Reporting) -> int:
    """Play one replay file; the exit status."""
    return run_jobs(lambda: [Job(file, partial(_replay, file, reporting))], file, reporting)


def _inferred(
    verilog: Sequence[Path], only: tuple[str, ...], seed: int | None, thorough: bool, reporting: Reporting
) -> list[Job]:
    """The jobs for Verilog without a bench, after a word on what was assumed."""
    # Heavy, and only here: as below.
    from verify.checks import Settings  # noqa: PLC0415
    from verify.cli.inferring import inferred_jobs  # noqa: PLC0415

    settings = Settings(seed=seed, simulator=reporting.simulator, only=only, thorough=thorough)
    jobs, assumed = inferred_jobs(verilog, settings)
    if reporting.level != "quiet":
        Desk(reporting).people.print(assumed)
    return jobs


def _check(
    bench: Path,
    names: tuple[str, ...],
    seed: int | None,
    thorough: bool,
    reporting: Reporting,
    listener: Listener,
) -> RunResult:
    # The engine is heavy: what is wrong with the words is told without it.
    from verify.checks import Settings, check_bench  # noqa: PLC0415

    settings = Settings(seed=seed, simulator=reporting.simulator, only=names, thorough=thorough)
    return check_bench(bench, settings, listener)


def _replay(file: Path, reporting: Reporting, listener: Listener) -> RunResult:
    from verify.checks import Settings, replay  # noqa: PLC0415 -- as above

    return replay(file, Settings(simulator=reporting.simulator), listener)
