"""``everyedge check`` and ``everyedge replay``."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from verify.checks.settings import Listener, Settings
from verify.cli.job import Job, run_jobs
from verify.cli.paths import split_paths
from verify.cli.reporting import Desk, Reporting
from verify.cli.selection import jobs_at_once, selected
from verify.errors import BenchError
from verify.results import RunResult

if TYPE_CHECKING:
    from verify.checks.side_by_side import Order

__all__ = ["check_paths", "replay_file"]


def check_paths(
    paths: Sequence[Path],
    *,
    only: tuple[str, ...],
    seed: int | None,
    thorough: bool,
    frozen: bool = False,
    allow: tuple[str, ...] = (),
    stubs: tuple[str, ...] = (),
    reporting: Reporting,
    jobs: int | None = None,
) -> int:
    """Check the benches that ``paths`` name, ``jobs`` checks at a time; the exit status."""
    with ExitStack() as stack:

        def find() -> list[Job]:
            benches, verilog = split_paths(paths)
            asked = Settings(
                seed=seed,
                simulator=reporting.simulator,
                thorough=thorough,
                frozen=frozen,
                allow=allow,
                internals=reporting.vcd_folder is not None,
            )
            if verilog and frozen:
                raise BenchError(
                    "--frozen needs a bench in which everything is pinned, and Verilog was named",
                    advice=f"`everyedge describe {verilog[0]} --write bench.toml` writes one",
                )
            if verilog:
                return _inferred(verilog, replace(asked, only=only), stubs, reporting)
            if stubs:
                raise BenchError(
                    "--stub is for Verilog without a bench, and benches were named",
                    advice="write the module into a file, and name that in the sources of the bench",
                )
            chosen = selected(benches, only)
            orders = [(bench, replace(asked, only=names)) for bench, names in chosen]
            side_by_side = jobs_at_once(chosen, jobs)
            if side_by_side > 1:
                return _ordered(orders, side_by_side, stack)
            return [Job(bench, partial(_check, bench, settings)) for bench, settings in orders]

        return run_jobs(find, paths[0] if paths else Path(), reporting)


def _ordered(orders: Sequence[tuple[Path, Settings]], side_by_side: int, stack: ExitStack) -> list[Job]:
    """Jobs that begin at once, in processes of their own, and are told in their order."""
    from verify.checks.side_by_side import SideBySide  # noqa: PLC0415 -- only for several

    beside = stack.enter_context(SideBySide(side_by_side))
    found = []
    for bench, settings in orders:
        order = beside.order(bench, settings)
        found.append(Job(bench, partial(_results, order, settings), order.untold))
    return found


def _results(order: Order, settings: Settings, listener: Listener) -> RunResult:
    """The results of a bench, refused if they rest on something that is not pinned and must be."""
    from verify.checks.passing.pins import refuse_unpinned  # noqa: PLC0415 -- heavy

    result = order.results(listener)
    if settings.frozen:
        refuse_unpinned(result.checks)
    return result


def replay_file(file: Path, *, allow: tuple[str, ...], reporting: Reporting) -> int:
    """Play one replay file; the exit status."""
    return run_jobs(lambda: [Job(file, partial(_replay, file, allow, reporting))], file, reporting)


def _inferred(
    verilog: Sequence[Path], settings: Settings, stubs: Sequence[str], reporting: Reporting
) -> list[Job]:
    """The jobs for Verilog without a bench, after a word on what was assumed."""
    from verify.cli.inferring import inferred_jobs  # noqa: PLC0415 -- heavy

    jobs, assumed = inferred_jobs(verilog, settings, stubs)
    if reporting.level != "quiet":
        Desk(reporting).people.print(assumed)
    return jobs


def _check(bench: Path, settings: Settings, listener: Listener) -> RunResult:
    from verify.checks import check_bench  # noqa: PLC0415 -- heavy

    return check_bench(bench, settings, listener)


def _replay(file: Path, allow: tuple[str, ...], reporting: Reporting, listener: Listener) -> RunResult:
    from verify.checks import replay  # noqa: PLC0415 -- heavy

    return replay(
        file,
        Settings(simulator=reporting.simulator, allow=allow, internals=reporting.vcd_folder is not None),
        listener,
    )
