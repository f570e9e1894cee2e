"""The command ``everyedge watch``; everything heavy is imported when it is wanted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from verify.cli import options as shared

if TYPE_CHECKING:
    from verify.checks.settings import SimulatorChoice

__all__ = ["watch"]

_HELP = """Check now, and again whenever a file is saved, until Ctrl-C.

BENCH as for `check`. Only the checks that the file is part of run again; one line says what each has
come to, and from what.
"""


@click.command(help=_HELP, short_help="Check again whatever a saved file touches.")
@click.argument("bench", nargs=-1, type=click.Path(path_type=Path))
@shared.only
@shared.seed
@shared.simulator
@click.option("-v", "--verbose", is_flag=True, help="The whole report of what does not pass, not a line.")
def watch(
    bench: tuple[Path, ...],
    only: tuple[str, ...],
    seed: int | None,
    simulator: SimulatorChoice,
    verbose: bool,
) -> int:
    """See ``_HELP``."""
    from verify.checks.settings import Settings  # noqa: PLC0415 -- heavy
    from verify.cli.watch import watch_paths  # noqa: PLC0415 -- heavy

    return watch_paths(bench, only=only, settings=Settings(seed=seed, simulator=simulator), verbose=verbose)
