"""An error as a person can act on it: where, what, the line itself, what to do."""

from __future__ import annotations

from verify.errors import EveryedgeError, Place, SimulationFault
from verify.report.figures import clean, path_text
from verify.report.look import Lines, hanging, line

__all__ = ["error_lines", "place_text", "source_lines"]

LOG_LINES = 8


def place_text(place: Place) -> str:
    """``file:line:column``, as editors and terminals recognise it."""
    numbers = (place.line, place.column)
    return ":".join([path_text(place.file), *(str(n) for n in numbers if n is not None)])


def source_lines(place: Place, width: int, *, caret: bool) -> Lines:
    """The text of the line with its number, and a caret under the column."""
    if place.source is None or place.line is None:
        return []
    number = f"{place.line:>7} │ "
    stripped = place.source.rstrip("\r\n")
    text = clean(stripped)
    before = clean(stripped[: max((place.column or 1) - 1, 0)])
    room = max(width - len(number), 20)
    # A long line scrolls, so that the column stays in sight.
    skip = max(len(before) - room // 2, 0) if len(text) > room else 0
    shown = ("…" if skip else "") + text[skip + bool(skip) : skip + room]
    lines = [line((number, "dim"), shown)]
    if caret and place.column is not None:
        lines.append(
            line((" " * (len(number) - 2) + "│ ", "dim"), " " * (len(before) - skip), ("^", "bold red"))
        )
    return lines


def error_lines(error: EveryedgeError, width: int) -> Lines:
    """Position first, then the message, the source line with a caret, and the advice."""
    head, *rest = [clean(text) for text in error.message.splitlines()] or [""]
    where = f"{place_text(error.place)}: " if error.place is not None else "everyedge: "
    # One line, never wrapped: editors and log readers look for file:line:column: error: text.
    lines = [line((where, "bold"), ("error: ", "bold red"), head)]
    lines += [line("  ", more) for more in rest]
    if error.place is not None:
        lines += source_lines(error.place, width, caret=True)
    if isinstance(error, SimulationFault) and error.log.strip():
        lines += [line("  ", (clean(said), "dim")) for said in error.log.strip().splitlines()[-LOG_LINES:]]
    if error.advice:
        for text in error.advice.splitlines():
            lines += hanging("", text, width, column=0)
    return lines
