"""A worked computation as a picture: one self-contained SVG that reads on a light and a dark page."""

from __future__ import annotations

import textwrap
from xml.sax.saxutils import escape, quoteattr

from verify.sheet import Row, Sheet

__all__ = ["sheet_svg"]

CHARACTER, LINE, MARGIN = 8.4, 20, 20
"""Pixels: advance of a 14-pixel monospaced character, height of a line, edge of the picture."""

TEXT_COLUMNS = 84
"""Characters in a line of facts or remarks."""

GAP = 2

_STYLE = """
  text { font: 14px ui-monospace, "DejaVu Sans Mono", Menlo, Consolas, monospace }
  text { white-space: pre; fill: #1f2328 }
  .quiet { fill: #59636e } .title { font-weight: bold; font-size: 16px }
  .band { fill: #0969da; opacity: 0.12 } .rule { stroke: #59636e; stroke-opacity: 0.4 }
  .lit { fill: #c24e00 } .dark { fill: #59636e; opacity: 0.18 }
  @media (prefers-color-scheme: dark) {
    text { fill: #e6edf3 } .quiet { fill: #9198a1 } .band { fill: #4493f8; opacity: 0.2 }
    .lit { fill: #ff9a4d } .dark { fill: #9198a1 }
  }
"""

_SEGMENTS = (
    "18,6 62,6 56,14 24,14",
    "66,10 66,52 58,46 58,18",
    "66,58 66,100 58,92 58,64",
    "24,96 56,96 62,104 18,104",
    "14,58 22,64 22,92 14,100",
    "14,10 22,18 22,46 14,52",
    "20,55 26,51 54,51 60,55 54,59 26,59",
)
"""Polygons of segments a to g in a box of 80 by 110."""


def sheet_svg(sheet: Sheet) -> str:
    """The picture, with a text alternative that holds all of it."""
    drawing = _Drawing()
    drawing.text(0, sheet.title, "title")
    drawing.skip(1.3)
    _facts(sheet, drawing)
    drawing.skip(0.5)
    if sheet.segments is not None:
        drawing.digit(sheet.segments)
    _table(sheet, drawing)
    drawing.skip(0.5)
    for remark in sheet.remarks:
        for part in textwrap.wrap(remark, TEXT_COLUMNS, break_on_hyphens=False):
            drawing.text(0, part, "quiet")
            drawing.skip(1)
    return drawing.svg(sheet.title, _alternative(sheet))


class _Drawing:
    """Shapes, and how far down the next one goes."""

    def __init__(self) -> None:
        self._shapes: list[str] = []
        self._top = float(MARGIN + LINE)
        self._right = 0.0

    def skip(self, lines: float) -> None:
        self._top += lines * LINE

    def text(self, column: float, text: str, kind: str = "") -> None:
        if not text.strip():
            return
        left = MARGIN + column * CHARACTER
        size = 16 / 14 if kind == "title" else 1.0
        self._right = max(self._right, left + len(text) * CHARACTER * size)
        marked = f' class="{kind}"' if kind else ""
        self._shapes.append(f'<text x="{left:.1f}" y="{self._top:.1f}"{marked}>{escape(text)}</text>')

    def band(self, columns: int) -> None:
        self._shapes.append(
            f'<rect class="band" x="{MARGIN - 6}" y="{self._top - 15:.1f}" rx="3" '
            f'width="{columns * CHARACTER + 12:.1f}" height="{LINE}"/>'
        )

    def rule(self, columns: int) -> None:
        y = self._top - LINE + 2
        right = MARGIN + columns * CHARACTER
        self._shapes.append(f'<line class="rule" x1="{MARGIN}" y1="{y:.1f}" x2="{right:.1f}" y2="{y:.1f}"/>')

    def digit(self, pattern: int) -> None:
        top = self._top - LINE / 2
        shapes = "".join(
            f'<polygon class="{"lit" if pattern >> i & 1 else "dark"}" points="{points}"/>'
            for i, points in enumerate(_SEGMENTS)
        )
        self._shapes.append(f'<g transform="translate({MARGIN},{top:.1f})">{shapes}</g>')
        self._top += 130

    def svg(self, title: str, alternative: str) -> str:
        width, height = self._right + MARGIN, self._top + MARGIN - LINE / 2
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.0f}" height="{height:.0f}" '
            f'viewBox="0 0 {width:.0f} {height:.0f}" role="img" aria-label={quoteattr(title)}>\n'
            f"<title>{escape(title)}</title>\n<desc>{escape(alternative)}</desc>\n"
            f"<style>{_STYLE}</style>\n" + "\n".join(self._shapes) + "\n</svg>\n"
        )


def _facts(sheet: Sheet, drawing: _Drawing) -> None:
    column = max((len(name) for name, _ in sheet.facts), default=0) + GAP
    for name, value in sheet.facts:
        drawing.text(0, name, "quiet")
        for part in textwrap.wrap(value, TEXT_COLUMNS - column, break_on_hyphens=False):
            drawing.text(column, part)
            drawing.skip(1)


def _table(sheet: Sheet, drawing: _Drawing) -> None:
    if not sheet.columns:
        return
    rows = [Row(sheet.columns), *sheet.rows]
    widths = [max(len(row.cells[i]) for row in rows) for i in range(len(sheet.columns))]
    total = sum(widths) + GAP * (len(widths) - 1)
    for number, row in enumerate(rows):
        if number == 1:
            drawing.skip(0.3)
            drawing.rule(total)
        if row.marked:
            drawing.band(total)
        at = 0
        for i, (cell, width) in enumerate(zip(row.cells, widths, strict=True)):
            shown = cell.rjust(width) if i in sheet.right else cell
            lead = len(shown) - len(shown.lstrip())
            drawing.text(at + lead, shown[lead:], "quiet" if number == 0 else "")
            at += width + GAP
        drawing.skip(1)


def _alternative(sheet: Sheet) -> str:
    """Everything in the picture, in words."""
    parts = [f"{name}: {value}." for name, value in sheet.facts]
    for row in sheet.rows:
        pairs = zip(sheet.columns, row.cells, strict=True)
        parts.append(", ".join(f"{name} {cell.strip()}" for name, cell in pairs if cell.strip()) + ".")
    return " ".join([*parts, *sheet.remarks])
