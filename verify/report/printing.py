"""Lines onto a stream: colour and width when it is a terminal, ASCII when it takes nothing else."""

from __future__ import annotations

from typing import NoReturn, TextIO

from rich.console import Console

from verify.errors import ToolError
from verify.report.closed import OutputClosed
from verify.report.look import Lines, ascii_only

__all__ = ["Printer"]

NARROWEST, WIDEST = 40, 100
"""Cells; a narrower terminal wraps, a wider one is not used up by one line."""


class _Console(Console):
    def on_broken_pipe(self) -> NoReturn:
        """Leave it to the command how to end."""
        self.quiet = True
        raise OutputClosed


class Printer:
    """Prints lines that are laid out already. ``width`` in cells."""

    def __init__(self, stream: TextIO) -> None:
        self.console = _Console(file=stream, highlight=False, markup=False, emoji=False, soft_wrap=True)
        self.ascii = not _takes(stream, "✓·│─┼▲⋯µ")
        self.width = min(max(self.console.width, NARROWEST), WIDEST)

    @property
    def live(self) -> bool:
        """A terminal on which lines can be redrawn."""
        return self.console.file.isatty() and not self.console.is_dumb_terminal

    def print(self, lines: Lines) -> None:
        """Print at once, so that what is known is seen.

        Raises :class:`verify.report.closed.OutputClosed` when nobody reads any more and
        :class:`verify.errors.ToolError` when the output takes no more, such as a file on a full disk.
        """
        try:
            for text in lines:
                self.console.print(ascii_only(text) if self.ascii else text)
        except OSError as error:
            self.console.quiet = True
            raise ToolError(f"the report could not be printed: {error.strerror or error}") from None


def _takes(stream: TextIO, text: str) -> bool:
    try:
        text.encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
