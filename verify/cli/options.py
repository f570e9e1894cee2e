"""Options that several commands have."""

from __future__ import annotations

import click

from verify.cli.words import WholeNumber

__all__ = ["only", "seed", "simulator"]

only = click.option(
    "--only", multiple=True, metavar="NAME", help="Only the check of that name; may be repeated."
)
seed = click.option("--seed", type=WholeNumber(), metavar="N", help="Seed of the generated stimuli.")
simulator = click.option(
    "--simulator",
    type=click.Choice(["auto", "icarus", "verilator"]),
    default="auto",
    show_default=True,
    help="icarus sees x and z; verilator is for long runs.",
)
