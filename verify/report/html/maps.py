"""What was reached, as a picture: a field of pairs, a line of values, digits by their glyphs."""

from __future__ import annotations

from verify.models.glyphs import ALL_LIT
from verify.pictures import CoverageMap
from verify.report.figures import count
from verify.report.html.figure import Drawing, Figure, Table
from verify.report.html.glyphs import DIGIT_HEIGHT, outlines

__all__ = ["map_figure"]

LEFT, TOP = 64.0, 26.0
"""Room for the numbers beside and above the cells."""

NAMED = 12
"""Rows of a table that names what was not reached."""


def map_figure(found: CoverageMap) -> Figure:
    """The picture that suits the map."""
    if found.patterns:
        return _glyphs(found)
    return _line(found) if found.down is None else _field(found)


def _state(found: CoverageMap, row: int, cell: int) -> str:
    """``all``, ``some`` or ``none`` of a cell's values."""
    number = found.count(row, cell)
    return "none" if number == 0 else "all" if number >= found.size(row, cell) else "some"


def _cells(found: CoverageMap, size: float, height: float, gap: float) -> dict[str, str]:
    """State -> one path with all cells in it; neighbours are joined to save room."""
    paths = {"all": "", "some": ""}
    for row in range(found.rows):
        start = 0
        for cell in range(1, found.across.cells + 1):
            state = _state(found, row, start)
            if cell < found.across.cells and _state(found, row, cell) == state:
                continue
            x, y = LEFT + start * size, TOP + row * height
            wide, high = (cell - start) * size - gap, height - gap
            if state in paths:
                paths[state] += f"M{x:.5g} {y:.5g}h{wide:.5g}v{high:.5g}h-{wide:.5g}z"
            start = cell
    return paths


def _field(found: CoverageMap) -> Figure:
    down = found.down
    if down is None:
        raise ValueError("a field has two axes")
    size = max(min(480 // found.across.cells, 22), 4)
    high = max(min(360 // found.rows, 22), 4)
    drawing = Drawing()
    wide, tall = found.across.cells * size, found.rows * high
    drawing.path("ground", f"M{LEFT:g} {TOP:g}h{wide}v{tall}h-{wide}z")
    for state, d in _cells(found, size, high, 0 if size < 8 else 2).items():
        drawing.path(f"cell {state}", d)
    lines = "".join(f"M{LEFT + c * size:g} {TOP:g}v{tall}" for c in _ticks(found.across.cells))
    lines += "".join(f"M{LEFT:g} {TOP + r * high:g}h{wide}" for r in _ticks(found.rows))
    drawing.path("grid", lines)
    for cell in _ticks(found.across.cells):
        x = LEFT + cell * size + size / 2
        drawing.text("tick", x, TOP - 8, str(found.across.span(cell)[0]), "middle")
    for row in _ticks(found.rows):
        label = down.text(row) if down.labels else str(down.span(row)[0])
        drawing.text("tick", LEFT - 6, TOP + row * high + high / 2 + 4, label, "end")
    drawing.text("axis", 0, 12, down.name)
    width, bottom = LEFT + found.across.cells * size + 12, TOP + found.rows * high
    drawing.text("axis", LEFT, bottom + 16, found.across.name)
    return _figure(found, drawing, width, bottom + 24, _gaps(found))


def _line(found: CoverageMap) -> Figure:
    size = 560 / found.across.cells
    high = 34.0
    drawing = Drawing()
    drawing.path("ground", f"M{LEFT:g} {TOP:g}h560v{high:g}h-560z")
    for state, d in _cells(found, size, high, 1.5 if size > 8 else 0).items():
        drawing.path(f"cell {state}", d)
    for cell in sorted({0, *_quarters(found.across.cells), found.across.cells - 1}):
        first, last = found.across.span(cell)
        shown = last if cell == found.across.cells - 1 else first
        drawing.text("tick", LEFT + cell * size + size / 2, TOP + high + 16, count(shown), "middle")
    drawing.text("axis", LEFT, 14, found.across.name)
    return _figure(found, drawing, LEFT + 560 + 40, TOP + high + 24, _gaps(found))


def _quarters(cells: int) -> set[int]:
    return {cells // 4, cells // 2, cells * 3 // 4} if cells >= 8 else set()


def _glyphs(found: CoverageMap) -> Figure:
    """Every digit that can be shown, drawn; what was not reached stays an outline."""
    down = found.down
    scale, pitch, high = 0.3, 30.0, DIGIT_HEIGHT * 0.3 + 14
    labels = [""] if down is None else [down.text(row) for row in range(found.rows)]
    left = max(len(label) for label in labels) * 7 + 16.0
    drawing = Drawing()
    for cell in range(found.across.cells):
        text = f"{cell:X}" if found.across.cells == 16 else found.across.text(cell)
        drawing.text("tick", left + cell * pitch + 11, 14, text, "middle")
    rows, possible, reached = [], 0, 0
    for row, label in enumerate(labels):
        y = TOP + row * high
        drawing.text("tick", left - 10, y + 20, label, "end")
        missing = []
        for cell in range(found.across.cells):
            pattern = found.patterns[row * found.across.cells + cell]
            seen = found.count(row, cell) > 0
            x = left + cell * pitch
            if pattern is None and not seen:
                continue
            possible += 1
            reached += seen
            if not seen:
                missing.append(found.across.text(cell))
            drawing.path("slot" if seen else "slot open", f"M{x - 3:.1f} {y - 3:.1f}h27v36h-27z")
            if pattern is None:
                drawing.text("tick", x + 10, y + 20, "held", "middle")
                continue
            drawing.path("unlit", outlines(ALL_LIT & ~pattern, x, y, scale) if seen else "")
            drawing.path("lit" if seen else "outline", outlines(pattern, x, y, scale))
        rows.append((label or "digit", "none" if not missing else ", ".join(missing)))
    words = f"{count(reached)} of {count(possible)} {found.name}."
    return Figure(
        "glyphs",
        found.name[0].upper() + found.name[1:],
        words,
        int(left + found.across.cells * pitch + 12),
        int(TOP + found.rows * high + 8),
        tuple(drawing.shapes),
        Table((down.name if down else "row", f"{found.across.name} not reached"), tuple(rows)),
        notes=("Outlined glyphs were not reached.",) if reached < possible else (),
    )


def _ticks(cells: int) -> list[int]:
    """Cells whose number is written: not too many."""
    step = next(s for s in (1, 5, 10, 20, 50) if cells / s <= 13)
    return list(range(0, cells, step))


def _figure(found: CoverageMap, drawing: Drawing, width: float, height: float, gaps: Table) -> Figure:
    reached = sum(found.reached)
    share = f" ({100 * reached / found.total:.3g} %)" if reached < found.total else ""
    words = f"{count(reached)} of {count(found.total)}{share}: {found.name}."
    if found.down is not None and found.down.labels:
        words = _row_by_row(found)
    grouped = found.across.per_cell * (found.down.per_cell if found.down else 1)
    notes = [f"A cell stands for {count(grouped)} values."] if grouped > 1 else []
    if reached < found.total:
        notes.append("Dark cells were reached, pale ones in part, empty ones not.")
    title = found.name[0].upper() + found.name[1:]
    return Figure(
        "map", title, words, int(width), int(height), tuple(drawing.shapes), gaps, notes=tuple(notes)
    )


def _row_by_row(found: CoverageMap) -> str:
    """Rows of different kinds are not added up."""
    down, wide = found.down, found.across.cells
    rows = [sum(found.reached[row * wide : (row + 1) * wide]) for row in range(found.rows)]
    parts = [f"{down.text(row) if down else row} {count(number)}" for row, number in enumerate(rows)]
    return f"Of {count(found.across.values)}: {', '.join(parts)}."


def _gaps(found: CoverageMap) -> Table:
    """Row by row what was not reached; rows that are alike share a line."""
    told: dict[str, list[int]] = {}
    for row in range(found.rows):
        told.setdefault(_missing(found, row), []).append(row)
    down, rows = found.down, []
    for text, alike in list(told.items())[:NAMED]:
        label = found.across.name
        if down is not None:
            label = (
                _ranges(alike)
                if down.per_cell == 1 and not down.labels
                else ", ".join(down.text(row) for row in alike)
            )
        rows.append((label, text or "nothing"))
    if len(told) > NAMED:
        rows.append(("…", f"{len(told) - NAMED} more kinds of row"))
    return Table((down.name if down else "values", f"{found.across.name} not reached"), tuple(rows))


def _missing(found: CoverageMap, row: int) -> str:
    cells = [c for c in range(found.across.cells) if _state(found, row, c) != "all"]
    if found.across.per_cell == 1:
        return _ranges(cells)
    parts = []
    for cell in cells[:NAMED]:
        lacks = found.size(row, cell) - found.count(row, cell)
        parts.append(f"{count(lacks)} in {found.across.text(cell)}")
    return "; ".join(parts) + (f"; and in {len(cells) - NAMED} more ranges" if len(cells) > NAMED else "")


def _ranges(numbers: list[int]) -> str:
    """``0 to 4, 7, 9 to 59``."""
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][1] + 1:
            parts[-1][1] = number
        else:
            parts.append([number, number])
    shown = [str(a) if a == b else f"{a} to {b}" for a, b in parts[:NAMED]]
    return ", ".join(shown) + (f" and {len(parts) - NAMED} more" if len(parts) > NAMED else "")
