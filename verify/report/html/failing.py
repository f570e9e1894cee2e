"""What the page says of a check that does not pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from verify.errors import Place
from verify.report.failure import replay_command
from verify.report.figures import clean, count, signal_time
from verify.report.html.digits import display_figure
from verify.report.html.figure import Figure, Table
from verify.report.html.timing import timing_figure
from verify.report.html.working import SheetView, conversion_view
from verify.report.trouble import place_text
from verify.report.values import differing_bits, number_texts
from verify.results import CheckResult, Explanation, Failure, Mismatch

__all__ = ["FailureView", "NumberedFigure", "failure_view"]


@dataclass(frozen=True, slots=True)
class NumberedFigure:
    """A figure, its anchor and its number on the page."""

    figure: Figure
    id: str
    number: int


@dataclass(frozen=True, slots=True)
class PlaceView:
    """A line of somebody's source."""

    words: str
    where: str
    line: str
    text: str


@dataclass(frozen=True, slots=True)
class ExplanationView:
    """A fault in words, how far it goes, and the computation that it spoils under ``title``."""

    text: str
    extent: str
    place: PlaceView | None
    title: str
    table: Table | None


@dataclass(frozen=True, slots=True)
class ValueRow:
    """``bits``: each bit with whether it differs, a space between groups of four."""

    label: str
    style: str
    bits: tuple[tuple[str, bool], ...]
    numbers: str


@dataclass(frozen=True, slots=True)
class FailureView:
    """The first difference, what explains it, and its pictures."""

    heading: str
    position: str
    rows: tuple[ValueRow, ...]
    explanations: tuple[ExplanationView, ...]
    also: tuple[str, ...]
    place: PlaceView | None
    replay: str
    figures: tuple[NumberedFigure, ...]
    sheet: SheetView | None


def failure_view(check: CheckResult, name: str, figures: Iterator[int]) -> FailureView | None:
    """None for a check without a failure; ``name`` begins the anchors of its figures."""
    failure = check.failure
    if failure is None:
        return None
    mismatch = failure.mismatch
    place = mismatch.source if mismatch is not None else None
    drawn = [figure for figure in _figures(failure) if figure is not None]
    return FailureView(
        heading="The first difference" if mismatch is not None else "What went wrong",
        position="" if mismatch is None else _position(mismatch),
        rows=() if mismatch is None else _rows(mismatch),
        explanations=tuple(_explained(each, place) for each in check.explanations),
        also=tuple(clean(text) for text in failure.also),
        place=None if place is None else _place(place, "The port is driven at"),
        replay="" if check.replay is None else replay_command(check.replay),
        figures=tuple(NumberedFigure(f, f"{name}-f{i}", next(figures)) for i, f in enumerate(drawn)),
        sheet=conversion_view(check),
    )


def _figures(failure: Failure) -> Iterator[Figure | None]:
    cycle = failure.mismatch.cycle if failure.mismatch is not None else None
    if failure.excerpt is not None:
        yield timing_figure(failure.excerpt, cycle)
    if failure.look is not None and cycle is not None and any(d.differs for d in failure.look.digits):
        yield display_figure(failure.look, cycle)


def _position(mismatch: Mismatch) -> str:
    role = "" if mismatch.role in ("", mismatch.port) else f" ({mismatch.role})"
    text = f"Cycle {count(mismatch.cycle)}, {signal_time(mismatch.time_ns)}: {mismatch.port}{role}"
    if mismatch.expected_cycle != mismatch.cycle:
        text += f". What the golden model says in cycle {count(mismatch.expected_cycle)} is due here"
    return clean(text)


def _rows(mismatch: Mismatch) -> tuple[ValueRow, ...]:
    apart = set(differing_bits(mismatch.expected, mismatch.observed))
    return tuple(
        ValueRow(label, style, _bits(bits, apart), _numbers(bits))
        for label, style, bits in (
            ("expected", "want", mismatch.expected),
            ("observed", "have", mismatch.observed),
        )
    )


def _bits(bits: str, apart: set[int]) -> tuple[tuple[str, bool], ...]:
    found: list[tuple[str, bool]] = []
    for at, bit in enumerate(bits):
        place = len(bits) - 1 - at
        found.append((bit, place in apart))
        if place % 4 == 0 and place:
            found.append((" ", False))
    return tuple(found)


def _numbers(bits: str) -> str:
    if len(bits) == 1:
        return ""
    decimal, hexadecimal = number_texts(bits)
    return f"{decimal}, 0x{hexadecimal}"


def _explained(explanation: Explanation, known: Place | None) -> ExplanationView:
    extent = (
        "Reproduces every observed cycle."
        if explanation.reproduces_all_cycles
        else "Reproduces the first difference, not every cycle."
    )
    if "reproduces" in explanation.text:
        extent = ""
    place = None
    if explanation.place is not None and explanation.place != known:
        place = _place(explanation.place, "Look at")
    title, table = _worked(explanation)
    return ExplanationView(clean(explanation.text), extent, place, title, table)


def _worked(explanation: Explanation) -> tuple[str, Table | None]:
    """The computation that goes wrong, and its title; a cell keeps the spaces that align it."""
    worked = explanation.table
    if worked is None:
        return "", None
    rows = tuple(tuple(clean(cell) or "–" for cell in row) for row in worked.rows)  # noqa: RUF001
    return clean(worked.title), Table(worked.columns, rows, worked.marked)


def _place(place: Place, words: str) -> PlaceView:
    text = "" if place.source is None or place.line is None else clean(place.source.rstrip("\r\n"))
    line = "" if place.line is None else str(place.line)
    return PlaceView(words, place_text(place), line, text)
