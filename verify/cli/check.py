"""``everyedge check`` and ``everyedge replay``."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from verify.checks.settings import Listener, Settings
from verify.cli.job import Job, run_jobs
from verify.cli.paths import split_paths
from verify.cli.reporting import Reporting
from verify.cli.selection import selected
from verify.cli.starting import start_from
from verify.results import RunResult

__all__ = ["check_paths", "replay_file"]


def check_paths(
    paths: Sequence[Path], *, only: tuple[str, ...], seed: int | None, reporting: Reporting
) -> int:
    """Check the benches that ``paths`` name; the exit status."""

    def find() -> list[Job]:
        benches, verilog = split_paths(paths)
        if verilog:
            start_from(verilog, reporting)
        return [
            Job(bench, partial(_check, bench, Settings(seed=seed, simulator=reporting.simulator, only=names)))
            for bench, names in selected(benches, only)
        ]

    return run_jobs(find, paths[0] if paths else Path(), reporting)


def replay_file(file: Path, *, reporting: Reporting) -> int:
    """Play one replay file; the exit status."""
    job = Job(file, partial(_replay, file, Settings(simulator=reporting.simulator)))
    return run_jobs(lambda: [job], file, reporting)


def _check(bench: Path, settings: Settings, listener: Listener) -> RunResult:
    from verify.checks import check_bench  # noqa: PLC0415 -- heavy; a path that is not there is told without it

    return check_bench(bench, settings, listener)


def _replay(file: Path, settings: Settings, listener: Listener) -> RunResult:
    from verify.checks import replay  # noqa: PLC0415 -- as above

    return replay(file, settings, listener)
