"""``everyedge strength``."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from verify.cli.status import INTERRUPTED
from verify.cli.words import WholeNumber
from verify.ending import Ending

__all__ = ["strength"]

_HELP = """How strong a bench is: change the design, and see which changes the bench finds.

Every small change of the modules that BENCH checks is tried: operators, comparisons, constants one off,
conditions negated, branches, statements and resets dropped, bits and ports swapped, blocking for
non-blocking, edges, widths. A change that passes is compared with the original on stimuli of its own;
one that differs there has survived, and is shown with its line. What was tried before on the same
files is remembered.

\b
Examples:
  everyedge strength my_timer/bench.toml
  everyedge strength bench.toml --sample 50 --json strength.json

\b
Exit status: 0 every change that makes a difference is found, 1 some survive, 2 could not start (the
design does not pass as it is, among others), 3 nothing to try.
"""


@click.command(help=_HELP, short_help="How strong a bench is: change the design, and see what is found.")
@click.argument("bench", type=click.Path(path_type=Path))
@click.option("--only", multiple=True, metavar="NAME", help="Only the check of that name; may be repeated.")
@click.option("--sample", type=WholeNumber(), metavar="N", help="Try only N changes, drawn by the seed.")
@click.option("--seed", type=WholeNumber(), metavar="N", help="Seed of the sample and of the stimuli.")
@click.option("--jobs", type=WholeNumber(), metavar="N", help="Processes; one per processor by default.")
@click.option("--fresh", is_flag=True, help="Do not use what is remembered, and remember nothing.")
@click.option("--allow", multiple=True, metavar="WORD", help="As for check.")
@click.option(
    "--json", "json_file", type=click.Path(path_type=Path, allow_dash=True), metavar="FILE",
    help="Result for machines; - prints it.",
)  # fmt: skip
@click.option("-q", "--quiet", is_flag=True, help="Only the total line.")
@click.option("-v", "--verbose", is_flag=True, help="Also the changes that make no difference.")
def strength(
    bench: Path,
    only: tuple[str, ...],
    sample: int | None,
    seed: int | None,
    jobs: int | None,
    fresh: bool,
    allow: tuple[str, ...],
    json_file: Path | None,
    quiet: bool,
    verbose: bool,
) -> int:
    """See ``_HELP``."""
    # The engine is heavy: what is wrong with the words is told without it.
    from verify.report.printing import Printer  # noqa: PLC0415
    from verify.report.saving import check_writable, save_text  # noqa: PLC0415
    from verify.strength.measuring import measure_strength  # noqa: PLC0415
    from verify.strength.telling import as_json_text, strength_lines  # noqa: PLC0415

    if bench.is_dir():
        bench = bench / "bench.toml"
    printed = json_file == Path("-")
    if json_file is not None and not printed:
        check_writable(json_file, "the JSON result")
    people = Printer(sys.stderr if printed else sys.stdout)
    ending = click.get_current_context().obj or Ending()
    try:
        found = measure_strength(
            bench,
            only=only,
            allow=allow,
            seed=seed,
            jobs=jobs or None,
            sample=sample,
            remember=not fresh,
            progress=None if quiet else _Line(Printer(sys.stderr)),
        )
    except KeyboardInterrupt:
        click.echo("ended early; what was tried is remembered, and the next run goes on from there", err=True)
        return ending.status or INTERRUPTED
    lines = strength_lines(found, people.width, verbose=verbose)
    people.print(lines[-1:] if quiet else lines)
    if printed:
        click.echo(as_json_text(found), nl=False)
    elif json_file is not None:
        save_text(json_file, as_json_text(found), "the JSON result")
    if not found.trials or found.score is None:
        return 3
    return 1 if found.of("survived") else 0


class _Line:
    """Progress: a line that is redrawn on a terminal, the survivors alone elsewhere."""

    def __init__(self, printer: object) -> None:
        self._printer = printer
        self._counts = {"killed": 0, "survived": 0}

    def __call__(self, done: int, total: int, trial: object) -> None:
        from verify.report.figures import count  # noqa: PLC0415 -- heavy
        from verify.strength.mutation import Trial  # noqa: PLC0415 -- as above
        from verify.strength.telling import trial_line  # noqa: PLC0415 -- as above

        fate = trial.fate if isinstance(trial, Trial) else ""
        if fate in self._counts:
            self._counts[fate] += 1
        stream = sys.stderr
        if stream.isatty():
            told = f"{count(done)} of {count(total)} changes tried, {self._counts['survived']} survived"
            stream.write(f"\r\033[K{told}" + ("\r\033[K" if done == total else ""))
            stream.flush()
        elif isinstance(trial, Trial) and fate == "survived":
            click.echo(trial_line(trial, 100), err=True)
