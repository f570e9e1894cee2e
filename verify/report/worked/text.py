"""A worked computation as lines for a terminal."""

from __future__ import annotations

import textwrap

from rich.text import Text

from verify.report.look import Lines, line, rule
from verify.sheet import Row, Sheet

__all__ = ["digit_rows", "sheet_lines", "table_lines"]

GAP = 2
INDENT = 2
NARROWEST = 8
"""Columns that a cell is given before the table may stick out."""


def sheet_lines(sheet: Sheet, width: int) -> Lines:
    """Title, facts, drawing, table and remarks, none wider than ``width`` unless that is hopeless."""
    lines = [rule(sheet.title, width)]
    column = max((len(name) for name, _ in sheet.facts), default=0) + 2
    for name, value in sheet.facts:
        lines += _fact(name, value, width, column)
    lines.append(line(""))
    table = table_lines(sheet, width - INDENT)
    if sheet.segments is not None:
        table = _beside(digit_rows(sheet.segments), table)
    lines += [line(" " * INDENT, text) for text in table]
    if sheet.remarks:
        lines.append(line(""))
    for remark in sheet.remarks:
        wrapped = textwrap.wrap(remark, width - INDENT, break_on_hyphens=False)
        lines += [line(" " * INDENT, part) for part in wrapped]
    return lines


def _fact(name: str, value: str, width: int, column: int) -> Lines:
    """The value beside its name; a number longer than the column is broken, not left to stick out."""
    parts = textwrap.wrap(value, max(width - INDENT - column, NARROWEST), break_on_hyphens=False)
    labels = [name] + [""] * (len(parts) - 1)
    return [line(" " * INDENT, (a.ljust(column), "dim"), b) for a, b in zip(labels, parts, strict=True)]


def digit_rows(pattern: int) -> list[str]:
    """A digit as five rows of characters, 9 wide; bit 0 of ``pattern`` is segment a."""

    def bar(segment: int) -> str:
        return "  ━━━━━  " if pattern >> segment & 1 else "         "

    def sides(left: int, right: int) -> str:
        ends = ["█" if pattern >> s & 1 else " " for s in (left, right)]
        return f" {ends[0]}     {ends[1]} "

    return [bar(0), sides(5, 1), sides(5, 1), bar(6), sides(4, 2), sides(4, 2), bar(3)]


def _beside(drawing: list[str], table: list[Text]) -> list[Text]:
    """The drawing left of the table, one blank row above it to sit in the middle."""
    rows = max(len(drawing) + 1, len(table))
    left = ["", *drawing] + [""] * (rows - len(drawing) - 1)
    right = [*table, *(Text("", end="") for _ in range(rows - len(table)))]
    return [line((a.ljust(12), "bold"), b) for a, b in zip(left, right, strict=True)]


def table_lines(sheet: Sheet, room: int) -> list[Text]:
    """The table alone, in ``room`` columns."""
    if not sheet.columns:
        return []
    widths = _widths(sheet, room)
    lines = [_laid([sheet.columns[i][:w] for i, w in enumerate(widths)], widths, sheet, "dim")]
    for row in sheet.rows:
        lines += _row_lines(row, widths, sheet)
    return lines


def _widths(sheet: Sheet, room: int) -> list[int]:
    """As wide as the cells need; what is too much is taken from the widest."""
    table = [sheet.columns, *(row.cells for row in sheet.rows)]
    widths = [max(len(cells[i]) for cells in table) for i in range(len(sheet.columns))]
    while sum(widths) + GAP * (len(widths) - 1) > room and max(widths) > NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _row_lines(row: Row, widths: list[int], sheet: Sheet) -> list[Text]:
    """One line, or several when a cell does not fit its column."""
    parts = [_folded(cell, width) for cell, width in zip(row.cells, widths, strict=True)]
    depth = max(len(p) for p in parts)
    style = "bold" if row.marked else ""
    lines = []
    for level in range(depth):
        cells = [p[level] if level < len(p) else "" for p in parts]
        lines.append(_laid(cells, widths, sheet, style))
    return lines


def _folded(cell: str, width: int) -> list[str]:
    if len(cell) <= width:
        return [cell]
    if " " in cell.strip():
        folded = textwrap.wrap(cell, width, drop_whitespace=True, break_on_hyphens=False)
        lead = len(cell) - len(cell.lstrip())
        return [" " * lead + folded[0].lstrip(), *folded[1:]] if len(folded[0]) + lead <= width else folded
    return [cell[at : at + width] for at in range(0, len(cell), width)]


def _laid(cells: list[str], widths: list[int], sheet: Sheet, style: str) -> Text:
    laid = [
        c.rjust(w) if i in sheet.right else c.ljust(w)
        for i, (c, w) in enumerate(zip(cells, widths, strict=True))
    ]
    return line(((" " * GAP).join(laid).rstrip(), style))
