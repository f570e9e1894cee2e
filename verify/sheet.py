"""A worked computation before anybody draws it: a title, facts, a table, remarks."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["NothingToShow", "Row", "Sheet", "binary_text", "ordinal_place"]


class NothingToShow(ValueError):
    """Numbers with which nothing can be worked out; ``argument`` names the one at fault."""

    def __init__(self, argument: str, found: str, expected: str) -> None:
        super().__init__(f"{argument}: found {found}, expected {expected}")
        self.argument, self.found, self.expected = argument, found, expected


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table; ``marked``: something happens in it."""

    cells: tuple[str, ...]
    marked: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """``facts``: name and value. ``columns``: headings of the table; ``right``: those set flush right.

    ``segments``: the pattern of a digit to draw (bit 0 is segment a), None for no drawing.
    ``remarks``: sentences below.
    """

    title: str
    facts: tuple[tuple[str, str], ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    right: frozenset[int] = frozenset()
    segments: int | None = None
    remarks: tuple[str, ...] = ()


def binary_text(value: int, width: int) -> str:
    """``width`` bits in groups of four, counted from the least significant."""
    bits = f"{value:0{width}b}"
    head = len(bits) % 4
    groups = [bits[:head]] if head else []
    return " ".join(groups + [bits[at : at + 4] for at in range(head, len(bits), 4)])


def ordinal_place(place: int) -> str:
    """The name of a decimal place."""
    names = ("ones", "tens", "hundreds", "thousands")
    return names[place] if place < len(names) else f"10^{place}"
