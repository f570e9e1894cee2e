"""The command ``everyedge grade``; everything heavy is imported when it is wanted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from verify.cli import options as shared
from verify.cli.words import WholeNumber

if TYPE_CHECKING:
    from verify.checks.settings import SimulatorChoice

__all__ = ["grade"]

_FILE = click.Path(path_type=Path)

_HELP = """Hold many designs against one bench.

FOLDER has a file (.v, .sv) or a folder for each design. Each is checked in a process of its own, as
many at a time as there are processors, and gets the weights of the checks that it passes. What is
graded is kept: after an interruption the same command goes on, and only what has changed is graded
again. A design that calls its ports otherwise says so in names.toml (see README.md).

\b
Examples:
  everyedge grade handed_in/ --bench bench.toml
  everyedge grade handed_in/ --bench bench.toml --csv marks.csv --html marks/
  everyedge grade handed_in/ --bench bench.toml --cluster tcp://10.0.0.5:8786

\b
Exit status: 0 every design passes or fails, 2 could not start, 3 one does neither.
"""


@click.command(help=_HELP, short_help="Hold many designs against one bench.")
@click.argument("folder", type=_FILE)
@click.option("--bench", required=True, type=_FILE, metavar="BENCH", help="What must be true of each design.")
@click.option(
    "--provide", multiple=True, type=_FILE, metavar="FILE", help="Verilog given with each; may be repeated."
)
@shared.only
@click.option("--csv", "csv_file", type=_FILE, metavar="FILE", help="The table for a spreadsheet.")
@click.option("--html", "html_folder", type=_FILE, metavar="FOLDER", help="The table, and a page for each.")
@click.option("--state", "state_file", type=_FILE, metavar="FILE", help="Where to keep what is graded.")
@click.option("--fresh", is_flag=True, help="Grade everything again.")
@click.option("--jobs", type=WholeNumber(), metavar="N", help="So many at a time.")
@click.option(
    "--seconds",
    type=click.FloatRange(min=1),
    default=600.0,
    show_default=True,
    help="Wall time of one design, after which it is ended.",
)
@click.option("--cluster", metavar="ADDRESS", help="Scheduler of a Dask cluster to grade on.")
@shared.seed
@shared.simulator
@click.option("-q", "--quiet", is_flag=True, help="Only the total line.")
def grade(
    folder: Path,
    bench: Path,
    provide: tuple[Path, ...],
    only: tuple[str, ...],
    csv_file: Path | None,
    html_folder: Path | None,
    state_file: Path | None,
    fresh: bool,
    jobs: int | None,
    seconds: float,
    cluster: str | None,
    seed: int | None,
    simulator: SimulatorChoice,
    quiet: bool,
) -> int:
    """See ``_HELP``."""
    # Heavy, all of it.
    from verify.checks.settings import Settings  # noqa: PLC0415 -- as above
    from verify.cli.grade import GradeWishes, grade_folder  # noqa: PLC0415 -- as above
    from verify.grading import read_task  # noqa: PLC0415 -- as above

    task = read_task(bench, provide, Settings(seed=seed, simulator=simulator, only=only))
    wishes = GradeWishes(csv_file, html_folder, state_file, cluster, jobs, seconds, fresh, quiet)
    return grade_folder(folder, task, wishes)
