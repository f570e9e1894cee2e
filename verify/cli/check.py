"""``everyedge check`` and ``everyedge replay``."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from verify.cli.job import Job, run_jobs
from verify.cli.paths import split_paths
from verify.cli.reporting import Desk, Reporting
from verify.cli.selection import selected
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
    allow: tuple[str, ...],
    reporting: Reporting,
) -> int:
    """Check the benches that ``paths`` name; the exit status."""

    def find() -> list[Job]:
        benches, verilog = split_paths(paths)
        if verilog:
            return _inferred(verilog, only, seed, thorough, allow, reporting)
        return [
            Job(bench, partial(_check, bench, names, seed, thorough, allow, reporting))
            for bench, names in selected(benches, only)
        ]

    return run_jobs(find, paths[0] if paths else Path(), reporting)


def replay_file(file: Path, *, allow: tuple[str, ...], reporting: Reporting) -> int:
    """Play one replay file; the exit status."""
    return run_jobs(lambda: [Job(file, partial(_replay, file, allow, reporting))], file, reporting)


def _inferred(
    verilog: Sequence[Path],
    only: tuple[str, ...],
    seed: int | None,
    thorough: bool,
    allow: tuple[str, ...],
    reporting: Reporting,
) -> list[Job]:
    """The jobs for Verilog without a bench, after a word on what was assumed."""
    # Heavy, and only here: as below.
    from verify.checks import Settings  # noqa: PLC0415
    from verify.cli.inferring import inferred_jobs  # noqa: PLC0415

    settings = Settings(seed=seed, simulator=reporting.simulator, only=only, thorough=thorough, allow=allow)
    jobs, assumed = inferred_jobs(verilog, settings)
    if reporting.level != "quiet":
        Desk(reporting).people.print(assumed)
    return jobs


def _check(
    bench: Path,
    names: tuple[str, ...],
    seed: int | None,
    thorough: bool,
    allow: tuple[str, ...],
    reporting: Reporting,
    listener: Listener,
) -> RunResult:
    # The engine is heavy: what is wrong with the words is told without it.
    from verify.checks import Settings, check_bench  # noqa: PLC0415

    settings = Settings(seed=seed, simulator=reporting.simulator, only=names, thorough=thorough, allow=allow)
    return check_bench(bench, settings, listener)


def _replay(file: Path, allow: tuple[str, ...], reporting: Reporting, listener: Listener) -> RunResult:
    from verify.checks import Settings, replay  # noqa: PLC0415 -- as above

    return replay(file, Settings(simulator=reporting.simulator, allow=allow), listener)
