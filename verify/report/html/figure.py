"""A drawing as plain shapes, for a template to write down as SVG."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["Drawing", "Figure", "Shape", "Table"]


@dataclass(frozen=True, slots=True)
class Shape:
    """``kind``: path, text or mark. ``style``: words for the style sheet. ``d``: of a path.

    ``text`` stands at ``x``, ``y``, aligned by ``anchor`` (start, middle, end).
    """

    kind: str
    style: str = ""
    d: str = ""
    text: str = ""
    x: str = "0"
    y: str = "0"
    anchor: str = "start"


@dataclass(frozen=True, slots=True)
class Table:
    """The same in words: the first cell of every row is its heading. ``marked``: rows that matter."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marked: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Figure:
    """``title`` and ``words`` say what a person who sees it would see; ``table`` holds the numbers.

    ``kind``: timing, digits, map or glyphs. ``bases``: it has numbers in decimal and in hexadecimal;
    ``base``: the one shown first.
    """

    kind: str
    title: str
    words: str
    width: int
    height: int
    shapes: tuple[Shape, ...]
    table: Table | None = None
    bases: bool = False
    base: str = "dec"
    notes: tuple[str, ...] = ()


@dataclass(slots=True)
class Drawing:
    """Collects shapes."""

    shapes: list[Shape] = field(default_factory=list)

    def path(self, style: str, d: str) -> None:
        """A path, unless it is empty."""
        if d:
            self.shapes.append(Shape("path", style, d=d))

    def text(self, style: str, x: float, y: float, text: str, anchor: str = "start") -> None:
        """A line of text, unless it is empty."""
        if text:
            self.shapes.append(Shape("text", style, text=text, x=number(x), y=number(y), anchor=anchor))


def number(value: float) -> str:
    """As short as a coordinate can be said."""
    return f"{value:.1f}".rstrip("0").rstrip(".")
