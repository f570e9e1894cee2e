"""The display as the person at the board sees it: expected beside observed."""

from __future__ import annotations

from verify.pictures import DigitLook, DisplayLook
from verify.report.figures import count
from verify.report.html.figure import Drawing, Figure, Table
from verify.report.html.glyphs import DIGIT_HEIGHT, outlines, pattern_words

__all__ = ["display_figure"]

SCALE, PITCH, MARGIN, CAPTION = 0.72, 58.0, 16.0, 24.0
"""Size of a digit, pixels from digit to digit, edge of the glass, room for the words above it."""


def display_figure(look: DisplayLook, cycle: int) -> Figure:
    """Two pieces of glass, what should be lit on the left (or above), what is lit beside it."""
    digits = tuple(reversed(look.digits))
    glass_width = MARGIN * 2 + PITCH * len(digits)
    glass_height = MARGIN * 2 + DIGIT_HEIGHT * SCALE
    beside = len(digits) <= 3
    drawing = Drawing()
    for number, (title, observed) in enumerate((("Expected", False), ("Observed", True))):
        left = number * (glass_width + 20) if beside else 0.0
        top = CAPTION if beside else CAPTION + number * (glass_height + CAPTION + 22)
        _glass(drawing, digits, left, top, title, observed=observed)
    width = glass_width * 2 + 20 if beside else glass_width
    height = CAPTION + glass_height + 20
    if not beside:
        height += glass_height + CAPTION + 22
    wrong = [d for d in digits if d.differs]
    return Figure(
        "digits",
        "The display" if len(digits) > 1 else "The digit",
        _words(wrong, look, cycle),
        int(width),
        int(height),
        tuple(drawing.shapes),
        _table(look),
        notes=_notes(look),
    )


def _glass(
    drawing: Drawing,
    digits: tuple[DigitLook, ...],
    left: float,
    top: float,
    title: str,
    *,
    observed: bool,
) -> None:
    width, height = MARGIN * 2 + PITCH * len(digits), MARGIN * 2 + DIGIT_HEIGHT * SCALE
    drawing.text("name", left, top - 8, title)
    box = f"M{left + 6:.1f} {top:.1f}h{width - 12:.1f}a6 6 0 0 1 6 6v{height - 12:.1f}a6 6 0 0 1-6 6"
    drawing.path("glass", box + f"h-{width - 12:.1f}a6 6 0 0 1-6-6v-{height - 12:.1f}a6 6 0 0 1 6-6z")
    for i, digit in enumerate(digits):
        x, y = left + MARGIN + i * PITCH, top + MARGIN
        _digit(drawing, digit, x, y, observed=observed)
        if observed and digit.differs:
            drawing.path("flag", f"M{x + 20:.1f} {top + height + 14:.1f}l6-9 6 9z")


def _digit(drawing: Drawing, digit: DigitLook, x: float, y: float, *, observed: bool) -> None:
    everything = 0xFF if digit.has_point else 0x7F
    if digit.cycle is None:
        drawing.path("absent", outlines(everything, x, y, SCALE))
        return
    lit = digit.observed if observed else digit.expected & digit.promised
    unsure = digit.unknown if observed else everything & ~digit.promised
    drawing.path("unlit", outlines(everything & ~lit & ~unsure, x, y, SCALE))
    drawing.path("lit", outlines(lit & ~unsure, x, y, SCALE))
    drawing.path("unsure", outlines(unsure, x, y, SCALE))
    if observed:
        missing = digit.expected & ~digit.observed & digit.promised & ~digit.unknown
        extra = digit.observed & ~digit.expected & digit.promised
        drawing.path("missing", outlines(missing, x, y, SCALE))
        drawing.path("extra", outlines(extra, x, y, SCALE))


def _words(wrong: list[DigitLook], look: DisplayLook, cycle: int) -> str:
    if not wrong:
        return f"In cycle {count(cycle)} every digit looks as it should."
    parts = [
        f"{_name(digit, look)} should show {_expected(digit)} and shows "
        f"{pattern_words(digit.observed, digit.unknown)}"
        for digit in wrong
    ]
    return f"In cycle {count(cycle)} {'; '.join(parts)}."


def _expected(digit: DigitLook) -> str:
    if not digit.promised:
        return "anything"
    return pattern_words(digit.expected & digit.promised)


def _name(digit: DigitLook, look: DisplayLook) -> str:
    return digit.port if len(look.digits) == 1 else f"digit {look.digits.index(digit)} ({digit.port})"


def _table(look: DisplayLook) -> Table:
    rows, marked = [], set()
    for number, digit in enumerate(reversed(look.digits)):
        place = len(look.digits) - 1 - number
        name = f"{place} ({digit.port})"
        if digit.cycle is None:
            rows.append((name, "not its turn yet", "", ""))
            continue
        seen = pattern_words(digit.observed, digit.unknown)
        rows.append((name, _expected(digit), seen, count(digit.cycle)))
        if digit.differs:
            marked.add(number)
    return Table(
        ("digit (0 is the last one)", "expected", "observed", "as in cycle"), tuple(rows), frozenset(marked)
    )


def _notes(look: DisplayLook) -> tuple[str, ...]:
    notes = []
    if any(d.expected & ~d.observed & d.promised & ~d.unknown for d in look.digits):
        notes.append("A dashed outline is a segment that should be lit.")
    if any(d.observed & ~d.expected & d.promised for d in look.digits):
        notes.append("A thick outline is a segment that should be dark.")
    if any(d.unknown for d in look.digits):
        notes.append("A hatched segment is x or z.")
    if look.scanned:
        notes.append("The digits light one after the other; each is drawn as in its latest turn.")
    if any(d.cycle is None for d in look.digits):
        notes.append("A dotted digit has not had its turn yet.")
    return tuple(notes)
