"""The timing diagram around a difference, drawn as a data sheet does.

A column is a clock cycle; it ends at the active edge, where what stands in it is sampled. Expected
and observed share one lane: a dashed and a solid line, which fall together where they agree.
"""

from __future__ import annotations

from dataclasses import dataclass

from verify.report.diagram import GAP, compressed
from verify.report.figures import count
from verify.report.html.figure import Drawing, Figure, Table
from verify.report.lanes import PULSE_SHARES, Lane, Window, window_of
from verify.report.values import cell_text
from verify.results import Excerpt

__all__ = ["timing_figure"]

COLUMNS = 22
"""Most columns of a picture; more before the difference than after it."""

OUTPUTS, INPUTS = 6, 8
"""Most lanes of each sort; the others are named below."""

LABEL, TOP, LANE, SIGNAL = 150, 58, 46, 24
GAP_WIDTH, EDGE = 26, 4
CHARACTER, FLAGGED = 7.9, 150
"""Pixels."""


@dataclass(frozen=True, slots=True)
class _Grid:
    """``columns``: cycles of the window or ``GAP``; ``lefts``: where each begins, and the end."""

    columns: tuple[int, ...]
    lefts: tuple[float, ...]

    def cells(self) -> list[tuple[int, float, float]]:
        """Cycle, left and right of every column that is no gap."""
        spans = zip(self.columns, self.lefts, self.lefts[1:], strict=False)
        return [(c, a, b) for c, a, b in spans if c != GAP]

    def gaps(self) -> list[tuple[float, float]]:
        """Left and right of the breaks."""
        spans = zip(self.columns, self.lefts, self.lefts[1:], strict=False)
        return [(a, b) for c, a, b in spans if c == GAP]


def timing_figure(excerpt: Excerpt, cycle: int | None) -> Figure | None:
    """The diagram around ``cycle`` (of the stimulus); None when there is nothing to draw."""
    window = window_of(excerpt, cycle)
    if window is None or not window.differing:
        return None
    resets = [lane for lane in window.inputs if lane.role == "reset"]
    enables = [lane for lane in window.inputs if lane.role == "enable"]
    others = [
        lane
        for lane in window.inputs
        if lane not in resets + enables and (not lane.steady or len(lane.cells[0]) > 1)
    ]
    inputs = [*resets, *enables, *others][:INPUTS]
    pairs = window.differing[:OUTPUTS]
    matching = [lane for lane in window.matching if not lane.steady][: max(OUTPUTS - len(pairs), 0)]
    shown = [*inputs, *matching, *(lane for pair in pairs for lane in pair)]
    grid = _grid(window, shown)
    height = TOP + LANE * (len(inputs) + len(matching) + len(pairs) + 1)
    drawing = Drawing()
    _frame(drawing, window, grid, height)
    _clock(drawing, grid, TOP)
    top = TOP + LANE
    for lane in (*inputs, *matching):
        _label(drawing, lane, top, "as expected" if lane in matching else "driven")
        _lane(drawing, lane.cells, lane.role, grid, top, "plain")
        top += LANE
    for (want, have), wrong in zip(pairs, window.wrong, strict=False):
        _label(drawing, want, top, "compared")
        _pair(drawing, want, have, wrong, window, grid, top)
        top += LANE
    both = any("dec" in shape.style.split() for shape in drawing.shapes)
    return Figure(
        "timing",
        f"Clocks {count(window.first + grid.cells()[0][0])} to {count(window.first + grid.cells()[-1][0])}",
        _words(window, pairs[0]),
        _width(grid, window),
        height + 12,
        tuple(drawing.shapes),
        _table(window, [*inputs, *matching], pairs, grid),
        bases=both,
        base="hex" if any("bcd" in lane.role or "segments" in lane.role for lane in shown) else "dec",
        notes=_notes(window, inputs, matching, grid),
    )


def _width(grid: _Grid, window: Window) -> int:
    """Room for the words beside the flag, too."""
    flagged = next(left for c, left, _ in grid.cells() if c == window.mark)
    return int(max(grid.lefts[-1] + 14, flagged + FLAGGED))


def _grid(window: Window, lanes: list[Lane]) -> _Grid:
    found = compressed(window, lanes)
    at = found.index(window.mark)
    start = max(min(at - (COLUMNS * 3) // 5, len(found) - COLUMNS), 0)
    chosen = found[start : start + COLUMNS]
    while chosen[0] == GAP:
        chosen = chosen[1:]
    while chosen[-1] == GAP:
        chosen = chosen[:-1]
    drawn = [c for c in chosen if c != GAP]
    texts = {text for lane in lanes for c in drawn for text in _spelled(lane.cells[c], lane.role)}
    longest = max((len(text) for text in texts), default=1)
    heads = max(len(count(window.first + c)) for c in drawn)
    width = max(30.0, min(longest, 16) * CHARACTER + 14, heads * CHARACTER + 6)
    lefts = [float(LABEL)]
    for c in chosen:
        lefts.append(lefts[-1] + (GAP_WIDTH if c == GAP else width))
    return _Grid(tuple(chosen), tuple(lefts))


def _frame(drawing: Drawing, window: Window, grid: _Grid, height: int) -> None:
    """Bands behind the clocks that differ or are not compared, the edges, and the cycle numbers."""
    wrong = frozenset().union(*window.wrong)
    for c, left, right in grid.cells():
        box = f"M{left:.1f} {TOP - 8}H{right:.1f}V{height}H{left:.1f}Z"
        if c in wrong:
            drawing.path("band", box)
        elif c in window.masked:
            drawing.path("filling", box)
        middle = (left + right) / 2
        style = "cycle first" if c == window.mark else "cycle"
        drawing.text(style, middle, TOP - 16, count(window.first + c), "middle")
        if c == window.mark:
            drawing.path("flag", f"M{middle - 6:.1f} 12h12l-6 9z")
            drawing.text("flagged", middle + 10, 21, "first difference")
    drawing.path("edge", "".join(f"M{right:.1f} {TOP - 8}V{height}" for _, _, right in grid.cells()))
    drawing.text("cycle", LABEL - 12, TOP - 16, "clock", "end")


def _clock(drawing: Drawing, grid: _Grid, top: int) -> None:
    """High in the first half of a cycle, low in the second; the rising edge ends it."""
    high, low = top + 4, top + SIGNAL + 4
    d, joined = "", False
    for column, left, right in zip(grid.columns, grid.lefts, grid.lefts[1:], strict=False):
        if column == GAP:
            joined = False
            continue
        middle = (left + right) / 2
        d += f"{'V' if joined else f'M{left:.1f} '}{high}H{middle:.1f}V{low}H{right:.1f}"
        joined = True
    drawing.path("plain", d + f"V{high}")
    arrows = "".join(f"M{r - 3:.1f} {low - 8}l3-6 3 6z" for _, _, r in grid.cells())
    drawing.path("arrow", arrows)
    drawing.text("name", 0, top + 14, "clock edge")
    drawing.text("kind", 0, top + 29, "sampled before it")
    _breaks(drawing, grid, top + 16)


def _breaks(drawing: Drawing, grid: _Grid, middle: float) -> None:
    """Two short waves where clocks in which nothing shown changes are left out."""
    for left, right in grid.gaps():
        x = (left + right) / 2
        wave = "".join(f"M{x + dx:.1f} {middle + 12:.1f}c4-8-4-16 0-24" for dx in (-3, 3))
        drawing.path("break", wave)


def _label(drawing: Drawing, lane: Lane, top: int, kind: str) -> None:
    name = lane.name if len(lane.name) <= 18 else lane.name[:17] + "…"
    drawing.text("name", 0, top + 14, name)
    width = len(lane.cells[0])
    drawing.text("kind", 0, top + 29, kind if width == 1 else f"{kind}, {width} bits")


def _spelled(cell: str, role: str) -> tuple[str, str]:
    """A value in decimal and in hexadecimal; a word when it has neither."""
    if cell in PULSE_SHARES:
        return "pulse", "pulse"
    if set(cell) <= {"0", "1"}:
        return str(int(cell, 2)), f"{int(cell, 2):0{-(-len(cell) // 4)}X}"
    text = cell_text(cell, role if role.startswith("segment") else "bcd")
    return text, text


def _lane(drawing: Drawing, cells: tuple[str, ...], role: str, grid: _Grid, top: int, style: str) -> None:
    """One signal by itself: levels for a bit, cells with values for a bus."""
    if len(cells[0]) == 1:
        drawing.path(style, _levels(cells, grid, top))
        _unknowns(drawing, cells, grid, top)
    else:
        runs = _runs(cells, grid)
        drawing.path(style, "".join(_hexagon(left, right, top) for _, left, right in runs))
        for cell, left, right in runs:
            _value(drawing, "value", cell, role, (left + right) / 2, top + 21)
    _breaks(drawing, grid, top + 16)


def _pair(
    drawing: Drawing,
    want: Lane,
    have: Lane,
    wrong: frozenset[int],
    window: Window,
    grid: _Grid,
    top: int,
) -> None:
    """Expected and observed over each other; both values where they differ."""
    hidden = tuple("-" * len(w) if c in window.masked else w for c, w in enumerate(want.cells))
    if len(have.cells[0]) == 1:
        drawing.path("observed", _levels(have.cells, grid, top))
        drawing.path("expected", _levels(hidden, grid, top))
        _unknowns(drawing, have.cells, grid, top)
        for c, left, right in grid.cells():
            if c in wrong:
                drawing.text("want", (left + right) / 2, top + 2, want.cells[c], "middle")
                drawing.text("have", (left + right) / 2, top + 40, have.cells[c], "middle")
    else:
        seen, due = _runs(have.cells, grid), _runs(hidden, grid)
        drawing.path("observed", "".join(_hexagon(left, right, top) for _, left, right in seen))
        drawing.path("expected", "".join(_hexagon(a, b, top) for v, a, b in due if set(v) != {"-"}))
        apart = [(c, left, right) for c, left, right in grid.cells() if c in wrong]
        for cell, left, right in _split(seen, apart):
            _value(drawing, "value", cell, have.role, (left + right) / 2, top + 21)
        for c, left, right in apart:
            middle = (left + right) / 2
            _value(drawing, "want", want.cells[c], want.role, middle, top + 14)
            _value(drawing, "have", have.cells[c], have.role, middle, top + 27)
    _breaks(drawing, grid, top + 16)


def _split(
    runs: list[tuple[str, float, float]], apart: list[tuple[int, float, float]]
) -> list[tuple[str, float, float]]:
    """The parts of runs outside the columns in which two values have to stand."""
    found = []
    for cell, left, right in runs:
        at = left
        for _, a, b in apart:
            if a >= right or b <= left:
                continue
            if a > at:
                found.append((cell, at, a))
            at = b
        if at < right:
            found.append((cell, at, right))
    return found


def _value(drawing: Drawing, style: str, cell: str, role: str, x: float, y: float) -> None:
    decimal, hexadecimal = _spelled(cell, role)
    if set(cell) == {"-"}:
        return
    if decimal == hexadecimal:
        drawing.text(style, x, y, _short(decimal), "middle")
        return
    drawing.text(f"{style} dec", x, y, _short(decimal), "middle")
    drawing.text(f"{style} hex", x, y, _short(hexadecimal), "middle")


def _short(text: str) -> str:
    return text if len(text) <= 16 else text[:15] + "…"


def _runs(cells: tuple[str, ...], grid: _Grid) -> list[tuple[str, float, float]]:
    """Stretches of columns with one value; a break ends one."""
    found: list[tuple[str, float, float]] = []
    joins = False
    for column, left, right in zip(grid.columns, grid.lefts, grid.lefts[1:], strict=False):
        if column == GAP:
            joins = False
            continue
        if joins and found[-1][0] == cells[column]:
            found[-1] = (cells[column], found[-1][1], right)
        else:
            found.append((cells[column], left, right))
        joins = True
    return found


def _hexagon(left: float, right: float, top: int) -> str:
    high, low, middle = top + 4, top + SIGNAL + 8, top + 4 + (SIGNAL + 4) / 2
    return (
        f"M{left:.1f} {middle:.1f}L{left + EDGE:.1f} {high}H{right - EDGE:.1f}L{right:.1f} {middle:.1f}"
        f"L{right - EDGE:.1f} {low}H{left + EDGE:.1f}Z"
    )


def _levels(cells: tuple[str, ...], grid: _Grid, top: int) -> str:
    """A line at the level of every cycle; a pulse of reset is one between two edges."""
    high, low, middle = top + 6, top + SIGNAL + 6, top + 6 + SIGNAL / 2
    at = {"0": low, "1": high, "P": low, "p": low, "z": middle}
    d, drawn = "", False
    for column, left, right in zip(grid.columns, grid.lefts, grid.lefts[1:], strict=False):
        cell = "" if column == GAP else cells[column]
        if cell not in at:
            drawn = False
            continue
        level = at[cell]
        d += f"L{left + EDGE / 2:.1f} {level:g}" if drawn else f"M{left:.1f} {level:g}"
        if cell in PULSE_SHARES:
            begin, end = (left + (right - left) * share for share in PULSE_SHARES[cell])
            d += f"H{begin:.1f}V{high}H{end:.1f}V{low}"
        d += f"H{right - EDGE / 2:.1f}"
        drawn = True
    return d


def _unknowns(drawing: Drawing, cells: tuple[str, ...], grid: _Grid, top: int) -> None:
    for c, left, right in grid.cells():
        if cells[c] == "x":
            drawing.path("unknown", f"M{left:.1f} {top + 6}H{right:.1f}v{SIGNAL}H{left:.1f}Z")
            drawing.text("value", (left + right) / 2, top + 22, "x", "middle")


def _words(window: Window, pair: tuple[Lane, Lane]) -> str:
    want, _ = pair
    at = window.mark
    told = [_number(lane.cells[at], cell_text(lane.cells[at], lane.role)) for lane in pair]
    number = len(frozenset().union(*window.wrong))
    return (
        f"In cycle {count(window.first + at)} {want.name} should be {told[0]} "
        f"and is {told[1]}. "
        f"Of the {count(window.length)} cycles around it {count(number)} differ."
    )


def _number(bits: str, told: str) -> str:
    return told if told == bits else f"{told} (binary {bits})"


def _table(window: Window, others: list[Lane], pairs: tuple[tuple[Lane, Lane], ...], grid: _Grid) -> Table:
    columns = ["cycle", *(lane.name for lane in others)]
    for want, _ in pairs:
        columns += [f"{want.name} expected", f"{want.name} observed"]
    rows, marked = [], set()
    for number, (c, _, _) in enumerate(grid.cells()):
        cells = [count(window.first + c), *(_plain(lane, c) for lane in others)]
        for want, have in pairs:
            cells += ["not compared" if c in window.masked else _plain(want, c), _plain(have, c)]
        rows.append(tuple(cells))
        if any(c in wrong for wrong in window.wrong):
            marked.add(number)
    return Table(tuple(columns), tuple(rows), frozenset(marked))


def _plain(lane: Lane, cycle: int) -> str:
    """The value in binary as on the wire, with its number where that says more."""
    cell = lane.cells[cycle]
    if cell in PULSE_SHARES:
        return "pulsed between two edges" + (", right after the first" if cell == "p" else "")
    known = set(cell) <= {"0", "1"}
    return f"{cell} = {int(cell, 2)}" if known and len(cell) > 1 else cell


def _notes(window: Window, inputs: list[Lane], matching: list[Lane], grid: _Grid) -> tuple[str, ...]:
    at = grid.cells()[0][0]
    steady = [
        f"{lane.name} = {_spelled(lane.cells[at], lane.role)[0]}"
        for lane in window.inputs
        if lane not in inputs
    ]
    notes = ["Dashed: expected. Solid: observed. A shaded clock is one in which they differ."]
    notes += [f"Steady throughout: {', '.join(steady)}."] if steady else []
    more = [want.name for want, _ in window.differing[OUTPUTS:]]
    if more:
        notes.append(f"These differ too: {', '.join(more)}.")
    hidden = [lane.name for lane in window.matching if lane not in matching]
    if hidden:
        notes.append(f"As expected and not drawn: {', '.join(hidden)}.")
    if any(c in window.masked for c, _, _ in grid.cells()):
        notes.append("Dotted clocks are not compared: the pipeline fills after reset.")
    if grid.gaps():
        notes.append("At a pair of waves, clocks are left out in which nothing drawn here changes.")
    return tuple(notes)
