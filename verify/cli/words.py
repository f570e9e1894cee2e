"""How words on the command line are read."""

from __future__ import annotations

import difflib
from pathlib import Path

import click

__all__ = ["Commands", "WholeNumber"]


class WholeNumber(click.ParamType[int]):
    """A whole number from 0 up, decimal."""

    name = "number"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The number; a clear refusal of anything else."""
        text = str(value)
        if not (text.isascii() and text.isdigit()) or int(text) >= 1 << 64:
            self.fail(f"{text!r}; expected a whole number from 0 to {(1 << 64) - 1}, such as 42", param, ctx)
        return int(text)


class Commands(click.Group):
    """Commands, with a hint when the word is none."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command; a usage error that says what was probably meant."""
        word = args[0]
        if self.get_command(ctx, word) is None and not word.startswith("-"):
            near = difflib.get_close_matches(word, self.list_commands(ctx), n=1)
            if Path(word).suffix or Path(word).exists():
                hint = f" Did you mean '{ctx.command_path} check {word}'?"
            else:
                hint = f" Did you mean '{near[0]}'?" if near else ""
            commands = ", ".join(self.list_commands(ctx))
            raise click.UsageError(f"No such command '{word}'.{hint} The commands are: {commands}.", ctx)
        return super().resolve_command(ctx, args)
