"""Styles by meaning, ASCII stand-ins, and lines laid out to a width."""

from __future__ import annotations

import textwrap

from rich.cells import cell_len
from rich.text import Text

from verify.report.figures import clean
from verify.results import Verdict

__all__ = [
    "MARKS",
    "VERDICT_STYLES",
    "Lines",
    "ascii_only",
    "fitted",
    "hanging",
    "line",
    "rule",
]

Lines = list[Text]
"""Laid out already: a printer adds a newline to each and nothing else."""

MARKS = {Verdict.PASS: "✓", Verdict.FAIL: "✗", Verdict.UNDECIDED: "?", Verdict.ERROR: "!"}

VERDICT_STYLES = {
    Verdict.PASS: "green",
    Verdict.FAIL: "bold red",
    Verdict.UNDECIDED: "bold yellow",
    Verdict.ERROR: "bold red",
}

# One character for one, so that nothing laid out in columns moves.
_STAND_INS = str.maketrans(
    {
        "✓": "+", "✗": "x", "·": ".", "│": "|", "─": "-", "┼": "+", "▲": "^", "⋯": ":", "…": "~",
        "µ": "u", "×": "x", "–": "-", "—": "-", "→": ">", "≈": "~", "≥": ">", "≤": "<",  # noqa: RUF001
        "“": '"', "”": '"', "‘": "'", "’": "'", "━": "-", "█": "#",  # noqa: RUF001
    }
)  # fmt: skip


def line(*parts: str | tuple[str, str] | Text) -> Text:
    """A line from plain strings, (string, style) pairs and texts."""
    return Text.assemble(*parts, no_wrap=True, end="")


def rule(title: str, width: int, style: str = "") -> Text:
    """A title and a line to the right edge."""
    title = fitted(title, width - 4)
    return line((title, f"bold {style}".strip()), " ", ("─" * max(width - cell_len(title) - 1, 0), "dim"))


def hanging(
    label: str,
    text: str,
    width: int,
    *,
    indent: int = 2,
    column: int = 11,
    style: str = "",
    label_style: str = "dim",
) -> Lines:
    """A label, and beside it a paragraph in its own column; words longer than the column stay whole."""
    room = max(width - indent - column, 20)
    wrapped: list[str] = []
    for paragraph in text.splitlines() or [""]:
        wrapped += textwrap.wrap(clean(paragraph), room, break_long_words=False, break_on_hyphens=False) or [
            ""
        ]
    first = line(" " * indent, (label.ljust(column), label_style), (wrapped[0], style))
    return [first, *(line(" " * (indent + column), (more, style)) for more in wrapped[1:])]


def fitted(text: str, width: int) -> str:
    """``text`` cleaned and cut to ``width`` cells, the cut shown."""
    text = clean(text)
    if cell_len(text) <= width:
        return text
    while text and cell_len(text) > width - 1:
        text = text[:-1]
    return text + "…"


def ascii_only(text: Text) -> Text:
    """The same line for an output that takes only ASCII, every column where it was."""
    plain = "".join(c if c.isascii() else "?" for c in text.plain.translate(_STAND_INS))
    return Text(plain, spans=text.spans, no_wrap=True, end="")
