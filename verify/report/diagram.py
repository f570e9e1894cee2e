"""The cycles around a difference as text: a column per cycle, closed by the clock edge that ends it.

A value stands left of the edge that samples it, as the design's own registers would take it. ``·``:
as in the cycle before. ``⋯``: cycles in which nothing shown changes are left out. ``~``: the
pipeline is filling, not compared. ``-``: not promised. ``P``: reset pulsed between two edges, ``p``:
in the half right after the first of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rich.text import Text

from verify.report.figures import count
from verify.report.lanes import Lane, Window, window_of
from verify.report.look import Lines, fitted, hanging, line
from verify.report.values import cell_text
from verify.results import Excerpt

__all__ = ["GAP", "compressed", "timing_diagram"]

LABEL = 14
SHOWN_OUTPUTS = 4
SHOWN_MATCHING = 3
GAP = -1
_EXPLAINED = (
    ("·", "as before"),
    ("⋯", "nothing changes"),
    ("~", "not compared while the pipeline fills"),
    ("-", "not promised"),
    ("=", "as expected"),
    ("P", "reset pulsed between two edges"),
    ("p", "reset pulsed right after an edge"),
)


@dataclass(frozen=True, slots=True)
class _Grid:
    """Which cycles of the window are drawn (``GAP`` where some are left out), and how wide."""

    columns: tuple[int, ...]
    cell: int


def timing_diagram(excerpt: Excerpt, cycle: int | None, width: int) -> Lines:
    """The diagram, at most ``width`` cells wide; no lines when the excerpt is empty."""
    window = window_of(excerpt, cycle)
    if window is None or not window.differing:
        return []
    pairs = window.differing[:SHOWN_OUTPUTS]
    matching = [lane for lane in window.matching if not lane.steady][:SHOWN_MATCHING]
    shown = [lane for lane in (*window.inputs, *matching) if not lane.steady]
    shown += [lane for pair in pairs for lane in pair]
    relative = len(count(window.first + window.length)) > 7
    heads = [_head(window, c, relative=relative) for c in range(window.length)]
    grid = _grid(window, shown, heads, width - LABEL - 2)
    drawn = list(_drawn(grid))
    moving = [lane for lane in window.inputs if len({lane.cells[c] for c in drawn}) > 1]
    lines = [
        _row("cycle", ((heads[c], "bold red" if c == window.mark else "dim") for c in drawn), grid),
        _edges(grid),
        *(_row(lane.name, _values(lane, grid), grid) for lane in moving),
        *(_row(f"{fitted(lane.name, LABEL - 2)} =", _values(lane, grid), grid) for lane in matching),
    ]
    for (want, have), wrong in zip(pairs, window.wrong, strict=False):
        lines += _pair(want, have, wrong, window, grid)
    if relative:
        lines += hanging("cycle 0", f"is cycle {count(window.first + window.mark)} of the stimulus", width)
    return [*lines, *_words(window, grid, moving, width), *_signs(lines, width)]


def _words(window: Window, grid: _Grid, moving: list[Lane], width: int) -> Lines:
    """What is true of the cycles drawn and not worth a row."""
    at = next(iter(_drawn(grid)))
    steady = [f"{s.name} = {cell_text(s.cells[at], s.role)}" for s in window.inputs if s not in moving]
    lines = hanging("steady", ", ".join(steady), width) if steady else []
    more = [want.name for want, _ in window.differing[SHOWN_OUTPUTS:]]
    return lines + (hanging("differ too", ", ".join(more), width) if more else [])


def _head(window: Window, cycle: int, *, relative: bool) -> str:
    """The number over a column; long ones would widen all, so they count from the difference."""
    if not relative:
        return str(window.first + cycle)
    return f"{cycle - window.mark:+d}" if cycle != window.mark else "0"


def _pair(want: Lane, have: Lane, wrong: frozenset[int], window: Window, grid: _Grid) -> Lines:
    """Expected over observed, and a mark under every cycle in which they differ."""
    shown = wrong | {window.mark}
    expected_cells = _values(want, grid, always=shown, loud=wrong, style="green", masked=window.masked)
    observed_cells = _values(have, grid, always=shown, loud=wrong, style="bold red")
    marks = (("▲" if c in wrong else "", "bold red") for c in _drawn(grid))
    return [
        line("  ", (fitted(want.name, LABEL), "bold")),
        _row("  expected", expected_cells, grid),
        _row("  observed", observed_cells, grid),
        _row("", marks, grid, edge=" "),
    ]


def _grid(window: Window, lanes: list[Lane], heads: list[str], room: int) -> _Grid:
    """Cycles with something to see, as many as fit, more before the mark than after it."""
    columns = compressed(window, lanes)
    widest = max(len(cell_text(cell, lane.role)) for lane in lanes for cell in set(lane.cells))
    at = columns.index(window.mark)
    near = [heads[c] for c in columns[max(at - 12, 0) : at + 12] if c != GAP]
    cell = min(max(widest, *(len(head) for head in near)), max(room // 3 - 2, 3))
    fit = max(room // (cell + 2), 1)
    start = max(min(at - (fit * 3) // 5, len(columns) - fit), 0)
    chosen = columns[start : start + fit]
    while chosen[0] == GAP:
        chosen = chosen[1:]
    while chosen[-1] == GAP:
        chosen = chosen[:-1]
    return _Grid(tuple(chosen), cell)


def compressed(window: Window, lanes: list[Lane]) -> list[int]:
    """All cycles, with stretches of two and more in which nothing happens replaced by a gap."""
    tracks = [lane.cells for lane in lanes]
    tracks.append(tuple("~" if c in window.masked else "" for c in range(window.length)))
    tracks += [tuple("!" if c in wrong else "" for c in range(window.length)) for wrong in window.wrong]
    moves = {0, *(c for c in range(1, window.length) if any(t[c] != t[c - 1] for t in tracks))}
    keep = moves | {c - 1 for c in moves} | {window.mark + near for near in (-1, 0, 1)}
    columns: list[int] = []
    skipped: list[int] = []
    for c in range(window.length):
        if c not in keep:
            skipped.append(c)
            continue
        columns += skipped if len(skipped) < 2 else [GAP]
        columns.append(c)
        skipped = []
    return columns + (skipped if len(skipped) < 2 else [GAP])


def _drawn(grid: _Grid) -> Iterable[int]:
    return (c for c in grid.columns if c != GAP)


def _values(
    lane: Lane,
    grid: _Grid,
    *,
    always: frozenset[int] = frozenset(),
    loud: frozenset[int] = frozenset(),
    style: str = "",
    masked: frozenset[int] = frozenset(),
) -> Iterable[tuple[str, str]]:
    """The cells of one lane; a value that stands still is a dot unless its cycle is in ``always``."""
    before: str | None = None
    for c in _drawn(grid):
        now = "~" if c in masked else lane.cells[c]
        if now == before and c not in always:
            yield "·", "dim"
        else:
            text = now if now in "~P" else cell_text(now, lane.role)
            yield text, style if c in loud else "dim" if now == "~" else ""
        before = now


def _row(label: str, cells: Iterable[tuple[str, str]], grid: _Grid, edge: str = "│") -> Text:
    text = line("  ", (fitted(label, LABEL).ljust(LABEL), "dim"))
    following = iter(cells)
    for c in grid.columns:
        if c == GAP:
            text.append(" ⋯" if edge.strip() else "  ", "dim")
            continue
        cell, style = next(following)
        text.append(" " + fitted(cell, grid.cell).rjust(grid.cell), style)
        text.append(edge, "dim")
    text.rstrip()
    return text


def _edges(grid: _Grid) -> Text:
    """The axis: a tick for every clock edge."""
    ticks = "".join("──" if c == GAP else "─" * (grid.cell + 1) + "┼" for c in grid.columns)
    return line("  ", ("edge".ljust(LABEL), "dim"), (ticks, "dim"))


def _signs(drawn: Lines, width: int) -> Lines:
    """What the signs mean that are in the picture."""
    rows = [row.plain for row in drawn[1:] if "│" in row.plain]
    body = "".join(row[LABEL + 2 :] for row in rows)
    body += "=" if any(row[:LABEL].rstrip().endswith(" =") for row in rows) else ""
    signs = [f"{sign} {words}" for sign, words in _EXPLAINED if sign in body]
    return hanging("signs", ", ".join(signs), width, style="dim") if signs else []
