"""The family of displays: a timer whose stages are shown in decimal on seven segments.

The digits of a static display have lines of their own; those of a scanned one share their segment
lines and are selected one after the other. Leading zeros, where they are blank, are those of the
whole number, up to but never including the last digit; or only a zero in the first place
(``blank_zeros``, measured). Decimal points, where there are lines for them, stay as they are
(``points``, measured). What a scan does beside its dwell is measured too, see :mod:`.scan`.

A latency delays all lines alike. How far the scan of a scanned display is ahead of the digits does
not matter, so it is read off together with the first digit and the direction.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from verify.models import timer
from verify.models.display_candidates import StaticReading
from verify.models.display_face import Leading
from verify.models.display_layout import Layout, arrange, fits
from verify.models.display_scan_candidates import ScannedReading, ScanOptions
from verify.models.display_scanned import SharedLines
from verify.models.display_static import Panel
from verify.models.family import Candidate, Family, OptionError, OptionSpec, RoleSpec, Shape
from verify.models.option_lists import numbers_in
from verify.models.option_values import OptionValues, one_of, width_of
from verify.models.segment_wires import SEGMENTS, SegmentWires
from verify.models.segments import OPTIONS, glyph_choices, pattern_in_reset
from verify.signals import ObservedTrace, Stimulus

__all__ = ["FAMILY", "DisplayFamily"]

TIMER_INPUTS = ("enable", "clear", "load", "load_values")
TIMER_FLAGS = ("tick", "done")


class DisplayFamily:
    """See the module."""

    name = "display"
    about = "a timer on seven-segment digits, each with lines of its own or scanned"
    stateful = True
    roles: tuple[RoleSpec, ...] = (
        RoleSpec("digits", "output", "the segments of each digit, least significant digit first", many=True),
        RoleSpec("segments", "output", "the shared segment lines, or without select all digits in one word"),
        RoleSpec("select", "output", "one line per digit, least significant digit in bit 0"),
        RoleSpec("point", "output", "the decimal points, a bit per digit; one line when scanned"),
        *(role for role in timer.FAMILY.roles if role.name in (*TIMER_INPUTS, *TIMER_FLAGS)),
    )
    options: tuple[OptionSpec, ...] = (
        *timer.FAMILY.options,
        *OPTIONS,
        OptionSpec("digits_per_stage", "number", "decimal digits of each stage; two, or as many as it needs"),
        OptionSpec("leading_zero", "choice", "zeros before the number", ("shown", "blank"), "shown"),
        OptionSpec(
            "scan",
            "table",
            "dwell = clocks per digit, select_active = level that selects, blanking = clocks of it dark",
        ),
    )

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,
        observed: tuple[Stimulus, ObservedTrace] | None = None,
    ) -> tuple[Candidate, ...]:
        """Every timer with every set of glyphs; those that ``observed`` rules out are left out."""
        values = OptionValues(self.options, options)
        moduli = numbers_in(options, "modulo", low=2)
        size = values.number("digits_per_stage", low=1)
        leading: tuple[Leading, ...] = ("shown",)
        if values.choice("leading_zero") == "blank":
            leading = ("number", "first")
        glyphs = list({patterns[:10]: facts for patterns, facts in glyph_choices(values, 9)}.items())
        in_reset = pattern_in_reset(values, glyphs[0][0])
        if one_of(shape, "digits", "segments") == "segments" and shape.get("select"):
            lines, scan = _shared_lines(shape, values)
            layout = arrange(lines.select.digits, moduli, size)
            timers = _Timers(shape, options, layout)
            return ScannedReading(timers, layout, glyphs, leading, in_reset, lines, scan).candidates(
                observed, reset=reset
            )
        values.refuse(("scan",), "the roles segments and select, for a scanned display")
        panel, layout = _panel(shape, values, moduli, size)
        timers = _Timers(shape, options, layout)
        return StaticReading(timers, layout, glyphs, leading, in_reset, panel).candidates(
            observed, reset=reset
        )


FAMILY: Family = DisplayFamily()
"""The family of models called ``display``."""


class _Timers:
    """The timers that may be behind a display."""

    def __init__(self, shape: Shape, options: Mapping[str, Any], layout: Layout) -> None:
        stages = tuple((modulo - 1).bit_length() for modulo in layout.moduli)
        passed = {role: shape[role] for role in (*TIMER_INPUTS, *TIMER_FLAGS) if shape.get(role)}
        self._shape = {"stages": stages, **passed}
        names = {spec.name for spec in timer.FAMILY.options}
        given = {key: value for key, value in options.items() if key in names}
        self._options = {**given, "modulo": list(layout.moduli)}

    def __call__(self, reset: bool, observed: tuple[Stimulus, ObservedTrace] | None) -> tuple[Candidate, ...]:
        return timer.FAMILY.candidates(self._shape, self._options, reset, observed)


def _wires(values: OptionValues, role: str, wires: int) -> SegmentWires:
    low, reverse = values.choice("active") == "low", values.choice("order") == "a_msb"
    return SegmentWires((role,), SegmentWires.checked(role, wires), reverse, low)


def _panel(
    shape: Shape, values: OptionValues, moduli: tuple[int, ...] | None, size: int | None
) -> tuple[Panel, Layout]:
    """The lines of a static display and what they show."""
    if shape.get("select"):
        raise OptionError(
            "select", "a port beside digits", "segments, which the selects share among the digits"
        )
    if shape.get("digits"):
        wires = tuple(_wires(values, "digits", width) for width in shape["digits"])
        packed = False
    else:
        packed, width = True, width_of(shape, "segments") or 0
        wires = next(_packed(values, width, moduli, size), ())
        if not wires:
            raise OptionError("segments", f"a port of {width} bits without select", "7 or 8 bits per digit")
    point = width_of(shape, "point")
    if point not in (None, len(wires)):
        raise OptionError("point", f"a port of {point} bits", f"{len(wires)}, one per digit")
    return Panel(wires, packed, point is not None), arrange(len(wires), moduli, size)


def _packed(
    values: OptionValues, width: int, moduli: tuple[int, ...] | None, size: int | None
) -> Iterator[tuple[SegmentWires, ...]]:
    for each in (SEGMENTS, SEGMENTS + 1):
        if width % each == 0 and fits(width // each, moduli, size):
            yield (_wires(values, "segments", each),) * (width // each)


def _shared_lines(shape: Shape, values: OptionValues) -> tuple[SharedLines, ScanOptions]:
    """The lines of a scanned display, the selects as active high, and the table ``scan``."""
    wires = _wires(values, "segments", width_of(shape, "segments") or 0)
    digits = width_of(shape, "select") or 0
    if width_of(shape, "point") not in (None, 1):
        raise OptionError("point", f"a port of {width_of(shape, 'point')} bits", "one line for all digits")
    options = ScanOptions.read(values.table("scan") or {})
    return SharedLines(wires, options.lines(digits), bool(shape.get("point"))), options
