"""The family of displays: a timer whose stages are shown in decimal on seven segments.

The number may also come in (``values``), and nothing is counted then: see :mod:`.display_given`.

The digits of a static display have lines of their own; those of a scanned one share their segment
lines and are selected one after the other. Leading zeros, where they are blank, are those of the
whole number, up to but never including the last digit; or only a zero in the first place
(``blank_zeros``, measured). Decimal points, where there are lines for them, stay as they are
(``points``, measured). What a scan does beside its dwell is measured too, see :mod:`.scan`.

A latency delays all lines alike. How far the scan of a scanned display is ahead of the digits does
not matter, so it is read off together with the first digit and the direction.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from verify.models import timer
from verify.models.display_candidates import StaticReading
from verify.models.display_face import Leading
from verify.models.display_given_candidates import showing_what_comes_in
from verify.models.display_layout import Layout, arrange
from verify.models.display_lines import panel_and_layout, shared_lines
from verify.models.display_scan_candidates import ScannedReading
from verify.models.family import Candidate, Family, OptionSpec, RoleSpec, Shape
from verify.models.option_lists import numbers_in
from verify.models.option_values import OptionValues, one_of
from verify.models.segments import OPTIONS, glyph_choices, pattern_in_reset
from verify.models.timer_twelve import HALF_DAY
from verify.signals import ObservedTrace, Stimulus

__all__ = ["FAMILY", "DisplayFamily"]

TIMER_INPUTS = ("enable", "clear", "load", "load_values")
TIMER_FLAGS = ("tick", "done", "pm")


class DisplayFamily:
    """See the module."""

    name = "display"
    about = "a timer, or a number that comes in, on seven-segment digits, with lines of their own or scanned"
    stateful = True
    roles: tuple[RoleSpec, ...] = (
        RoleSpec("digits", "output", "the segments of each digit, least significant digit first", many=True),
        RoleSpec("segments", "output", "the shared segment lines, or without select all digits in one word"),
        RoleSpec("select", "output", "one line per digit, least significant digit in bit 0"),
        RoleSpec("point", "output", "the decimal points, a bit per digit; one line when scanned"),
        RoleSpec("values", "input", "what is shown, if it comes in: ones first", many=True),
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
        if shape.get("values"):
            return showing_what_comes_in(shape, values, options, reset, observed)
        moduli = numbers_in(options, "modulo", low=2)
        if values.flag("twelve_hours"):
            # they go up to 12 on the digits
            moduli = (*(moduli or (60, 60, HALF_DAY))[:-1], HALF_DAY + 1)
        size = values.number("digits_per_stage", low=1)
        leading: tuple[Leading, ...] = ("shown",)
        if values.choice("leading_zero") == "blank":
            leading = ("number", "first")
        glyphs = list({patterns[:10]: facts for patterns, facts in glyph_choices(values, 9)}.items())
        in_reset = pattern_in_reset(values, glyphs[0][0])
        if one_of(shape, "digits", "segments") == "segments" and shape.get("select"):
            lines, scan = shared_lines(shape, values)
            layout = arrange(lines.select.digits, moduli, size)
            timers = _Timers(shape, options, layout)
            return ScannedReading(timers, layout, glyphs, leading, in_reset, lines, scan).candidates(
                observed, reset=reset
            )
        values.refuse(("scan",), "the roles segments and select, for a scanned display")
        panel, layout = panel_and_layout(shape, values, moduli, size)
        timers = _Timers(shape, options, layout)
        return StaticReading(timers, layout, glyphs, leading, in_reset, panel).candidates(
            observed, reset=reset
        )


FAMILY: Family = DisplayFamily()
"""The family of models called ``display``."""


class _Timers:
    """The timers that may be behind a display."""

    def __init__(self, shape: Shape, options: Mapping[str, Any], layout: Layout) -> None:
        moduli = layout.moduli
        if options.get("twelve_hours"):
            moduli = (*moduli[:-1], HALF_DAY)
        stages = tuple((modulo - 1).bit_length() for modulo in moduli)
        passed = {role: shape[role] for role in (*TIMER_INPUTS, *TIMER_FLAGS) if shape.get(role)}
        self._shape = {"stages": stages, **passed}
        names = {spec.name for spec in timer.FAMILY.options}
        given = {key: value for key, value in options.items() if key in names}
        self._options = {**given, "modulo": list(moduli)}

    def __call__(self, reset: bool, observed: tuple[Stimulus, ObservedTrace] | None) -> tuple[Candidate, ...]:
        return timer.FAMILY.candidates(self._shape, self._options, reset, observed)
