"""The commands and their options. Everything heavy is imported inside, when it is wanted."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from verify.cli import options as shared
from verify.cli.explain import explain
from verify.cli.grading import grade
from verify.cli.strength import strength
from verify.cli.watching import watch
from verify.cli.words import Commands
from verify.ending import Ending

if TYPE_CHECKING:
    from verify.checks.settings import SimulatorChoice
    from verify.report.story import Level

__all__ = ["everyedge"]

_FILE = click.Path(path_type=Path)
_OUTPUT = click.Path(path_type=Path, allow_dash=True)

_HELP = """Check Verilog against golden models on every clock edge.

\b
Examples:
  everyedge check                       bench.toml here, or every one below
  everyedge check my_timer/bench.toml   one bench
  everyedge check rtl/*.v               your own Verilog, as it is
  everyedge describe rtl/*.v            what it is taken for, and the bench
  everyedge watch                       check again at every save
  everyedge grade DIR --bench BENCH     many designs, one bench, one table
  everyedge models timer                what a bench can say of a timer
  everyedge replay FILE                 see one failure again
  everyedge explain bcd 243             a conversion worked out step by step

\b
Exit status: 0 all pass, 1 something fails, 2 could not start, 3 undecided.

\b
Completion of words in your shell, for its start-up file:
  bash   eval "$(_EVERYEDGE_COMPLETE=bash_source everyedge)"
  zsh    eval "$(_EVERYEDGE_COMPLETE=zsh_source everyedge)"
  fish   _EVERYEDGE_COMPLETE=fish_source everyedge | source
"""

_CHECK_HELP = """Check designs as their benches say.

BENCH is a bench file, or a folder: every bench.toml in and below it is checked. Without a word,
it is the folder you are in. With Verilog files instead, what they are is inferred, said, and
checked; what cannot be told is asked, and nothing is checked then.

\b
Examples:
  everyedge check my_timer/bench.toml
  everyedge check --only display --verbose
  everyedge check designs/ --json result.json --junit result.xml
  everyedge check rtl/*.v

\b
Exit status: 0 all pass, 1 something fails, 2 could not start, 3 undecided.
"""


def _version(context: click.Context, _parameter: click.Parameter, value: bool) -> None:
    if not value or context.resilient_parsing:
        return
    from importlib.metadata import version  # noqa: PLC0415 -- slow, and rarely wanted

    click.echo(f"everyedge {version('everyedge')}")
    context.exit()


@click.group(cls=Commands, help=_HELP, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version", is_flag=True, callback=_version, expose_value=False, is_eager=True, help="Print the version."
)
def everyedge() -> None:
    """See ``_HELP``."""


def _reporting(command: Any) -> Any:
    """The options of every command that ends in verdicts."""
    for option in reversed(
        (
            click.option(
                "--json", "json_file", type=_OUTPUT, metavar="FILE", help="Result for machines; - prints it."
            ),
            click.option(
                "--junit",
                "junit_file",
                type=_OUTPUT,
                metavar="FILE",
                help="Result as JUnit XML; - prints it.",
            ),
            click.option(
                "--html",
                "html_file",
                type=_OUTPUT,
                metavar="FILE",
                help="Result as a page with pictures; - prints it.",
            ),
            click.option(
                "--vcd",
                "vcd_folder",
                type=_FILE,
                metavar="FOLDER",
                help="Waves of every difference, one VCD file each.",
            ),
            click.option(
                "--annotate",
                type=click.Choice(["github"]),
                help="Mark what is wrong on its source line, for a build server.",
            ),
            shared.simulator,
            click.option("-q", "--quiet", is_flag=True, help="Only the total line."),
            click.option(
                "-v", "--verbose", is_flag=True, help="Details of every check: facts, pins, coverage."
            ),
        )
    ):
        command = option(command)
    return command


_allow = click.option(
    "--allow",
    multiple=True,
    metavar="WORD",
    help="Run a design in spite of a construct that is refused; may be repeated.",
)


_stub = click.option(
    "--stub",
    "stubs",
    multiple=True,
    metavar="NAME[=PORT]",
    help="Verilog without a bench: an empty module for one that is missing; its outputs follow PORT.",
)


@everyedge.command(help=_CHECK_HELP)
@click.argument("bench", nargs=-1, type=_FILE)
@shared.only
@shared.seed
@click.option(
    "--thorough", is_flag=True, help="Examine the speed-up at more ratios, and however long it takes."
)
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="N",
    help="Checks to run side by side; as many as there are processors if left out.",
)
@click.option("--frozen", is_flag=True, help="Refuse what is measured and not pinned in the bench (for CI).")
@_allow
@_stub
@_reporting
def check(
    bench: tuple[Path, ...],
    only: tuple[str, ...],
    seed: int | None,
    thorough: bool,
    jobs: int | None,
    frozen: bool,
    allow: tuple[str, ...],
    stubs: tuple[str, ...],
    **options: Any,
) -> int:
    """See ``_CHECK_HELP``."""
    from verify.cli.check import check_paths  # noqa: PLC0415 -- heavy

    reporting = _asked(**options)
    return check_paths(
        bench,
        only=only,
        seed=seed,
        thorough=thorough,
        frozen=frozen,
        allow=allow,
        stubs=stubs,
        reporting=reporting,
        jobs=jobs,
    )


@everyedge.command(short_help="What Verilog files hold, and the bench that follows from it.")
@click.argument("verilog", nargs=-1, required=True, type=_FILE)
@click.option("--write", type=_FILE, metavar="BENCH", help="Measure what is open and save the bench there.")
@_stub
def describe(verilog: tuple[Path, ...], write: Path | None, stubs: tuple[str, ...]) -> int:
    """Say what Verilog files hold: each module, its ports and their roles, and why.

    The bench that follows from it is shown, or saved with --write; each line says where it comes
    from. Exit status 2 when a question is left that only you can answer.
    """
    from verify.cli.describe import describe_files  # noqa: PLC0415 -- heavy

    return describe_files(verilog, write=write, stubs=stubs)


@everyedge.command(short_help="See one failure again.")
@click.argument("file", type=_FILE)
@_allow
@_reporting
def replay(file: Path, allow: tuple[str, ...], **options: Any) -> int:
    """Play a replay file again: the same stimulus, to the same cycle.

    A check that fails says which file replays it.
    """
    from verify.cli.check import replay_file  # noqa: PLC0415 -- heavy

    return replay_file(file, allow=allow, reporting=_asked(**options))


@everyedge.command(short_help="What a bench can say: the golden models, their roles and options.")
@click.argument("model", nargs=-1)
def models(model: tuple[str, ...]) -> int:
    """The golden models with their roles and options: what a bench can say.

    All in short, or those named in full.
    """
    from verify.cli.families import print_families  # noqa: PLC0415 -- heavy

    return print_families(model)


everyedge.add_command(explain)
everyedge.add_command(grade)
everyedge.add_command(watch)
everyedge.add_command(strength)


def _asked(
    *,
    json_file: Path | None,
    junit_file: Path | None,
    html_file: Path | None,
    vcd_folder: Path | None,
    annotate: str | None,
    simulator: SimulatorChoice,
    quiet: bool,
    verbose: bool,
) -> Any:
    from verify.cli.reporting import Reporting  # noqa: PLC0415 -- heavy

    if quiet and verbose:
        raise click.UsageError("--quiet and --verbose contradict each other; give one of them.")
    places = {"--json": json_file, "--junit": junit_file, "--html": html_file}
    for (one, here), (other, there) in combinations(places.items(), 2):
        if here is not None and here == there:
            raise click.UsageError(f"{one} and {other} need two different places.")
    level: Level = "quiet" if quiet else "verbose" if verbose else "normal"
    ending = click.get_current_context().obj or Ending()
    return Reporting(json_file, junit_file, simulator, level, ending, html_file, vcd_folder, annotate)
