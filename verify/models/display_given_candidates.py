"""Which displays of a number that comes in a bench and a first observation allow."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from verify.models.display_candidates import Glyphs, Observed, face_facts, point_facts
from verify.models.display_face import Face, Leading
from verify.models.display_given import GivenNumber, GivenPanel, arrange_given
from verify.models.display_layout import Layout
from verify.models.display_lines import own_lines, shared_lines
from verify.models.display_reading import compatible, patterns_of_panel, points_of
from verify.models.display_scan_candidates import ScannedReading
from verify.models.display_static import Panel
from verify.models.family import Candidate, OptionError, Shape
from verify.models.glyphs import BLANK
from verify.models.option_lists import numbers_in
from verify.models.option_values import OptionValues, one_of, width_of
from verify.models.segments import glyph_choices, pattern_in_reset
from verify.signals import Signal

__all__ = ["showing_what_comes_in"]

OF_A_TIMER = ("enable", "clear", "load", "load_values", "tick", "done", "pm")
COUNTING = (
    "states",
    "ratio",
    "direction",
    "start",
    "at_end",
    "pause",
    "clear",
    "first",
    "twelve_hours",
    "digits_per_stage",
)
LAST_DECIMAL, LAST_NIBBLE = 9, 15


def showing_what_comes_in(
    shape: Shape, values: OptionValues, options: Mapping[str, Any], reset: bool, observed: Observed
) -> tuple[Candidate, ...]:
    """Every set of glyphs that ``observed`` allows; options and roles of a timer are refused."""
    for role in OF_A_TIMER:
        if shape.get(role):
            raise OptionError(role, "a port beside values", "none: a number that comes in is not counted")
    values.refuse(COUNTING, "nothing: a number that comes in is not counted")
    above = values.choice("above_nine")
    if above == "hold":
        raise OptionError("above_nine", '"hold"', '"blank", "hex", "dash" or "any" where the number comes in')
    scanned = one_of(shape, "digits", "segments") == "segments" and bool(shape.get("select"))
    moduli = numbers_in(options, "modulo", low=2)
    widths = shape["values"]

    def arranged(digits: int) -> Layout:
        return arrange_given(digits, widths, moduli, above_nine=above != "any")

    def suits(digits: int) -> bool:
        try:
            arranged(digits)
        except OptionError:
            return False
        return True

    inputs = tuple(Signal(f"values[{i}]", width) for i, width in enumerate(widths))
    leading: tuple[Leading, ...] = ("shown",)
    if values.choice("leading_zero") == "blank":
        leading = ("number", "first")
    if scanned:
        lines, scan = shared_lines(shape, values)
        layout = arranged(width_of(shape, "select") or 0)
        glyphs = _glyphs(values, layout)
        number = Candidate(GivenNumber(inputs, layout.moduli))
        in_reset = pattern_in_reset(values, glyphs[0][0])
        reading = ScannedReading(
            lambda _reset, _observed: (number,), layout, glyphs, leading, in_reset, lines, scan
        )
        return reading.candidates(observed, reset=reset)
    values.refuse(("scan",), "the roles segments and select, for a scanned display")
    panel = own_lines(shape, values, suits)
    layout = arranged(len(panel.wires))
    glyphs = _glyphs(values, layout)
    in_reset = pattern_in_reset(values, glyphs[0][0])
    return _static(GivenNumber(inputs, layout.moduli), layout, glyphs, leading, in_reset, panel, observed)


def _glyphs(values: OptionValues, layout: Layout) -> Glyphs:
    """As many as the highest digit needs; those above 9 that show nothing are dark."""
    single = set(layout.sizes) == {1} and max(layout.moduli) > LAST_DECIMAL + 1
    highest = LAST_NIBBLE if single else LAST_DECIMAL
    found = [
        ((*patterns, *(BLANK,) * (highest + 1 - len(patterns))), facts)
        for patterns, facts in glyph_choices(values, highest)
    ]
    return list({patterns[: highest + 1]: facts for patterns, facts in found}.items())


def _static(
    number: GivenNumber,
    layout: Layout,
    glyphs: Glyphs,
    leading: tuple[Leading, ...],
    in_reset: int | None,
    panel: Panel,
    observed: Observed,
) -> tuple[Candidate, ...]:
    """Displays whose digits share no lines."""
    points = 0
    if observed is not None:
        patterns = patterns_of_panel(panel, observed[1])
        seen = {int(p) for words, known in patterns for p in set(words[known].tolist())}
        glyphs = [g for g in glyphs if compatible(g[0], seen)] or glyphs
        if panel.point or any(wires.has_point for wires in panel.wires):
            points = points_of(patterns)
    return tuple(
        Candidate(
            GivenPanel(number, Face(layout, shapes, hidden, points), panel, in_reset),
            {**facts, **point_facts(points), **face_facts(hidden)},
        )
        for hidden in leading
        for shapes, facts in glyphs
    )
