"""Digits on seven-segment displays."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Any

from verify.models.family import Candidate, Family, OptionError, OptionSpec, RoleSpec, Shape
from verify.models.glyphs import ALL_LIT, BLANK, DASH, glyph_sets, pinned_glyphs
from verify.models.option_values import OptionValues, width_of
from verify.models.segment_decoder import Decoder, HoldingDecoder, Overrides
from verify.models.segment_wires import SegmentWires
from verify.signals import ObservedTrace, Signal, Stimulus

__all__ = ["FAMILY", "OPTIONS", "SegmentsFamily", "glyph_choices", "pattern_in_reset"]

HEX_DIGIT_BITS = 4
WIDEST_DIGIT_BITS = 8

OPTIONS: tuple[OptionSpec, ...] = (
    OptionSpec("active", "choice", "the level that lights a segment", ("high", "low"), "high"),
    OptionSpec("order", "choice", "the end of the word at which segment a is", ("a_lsb", "a_msb"), "a_lsb"),
    OptionSpec("glyphs", "table", 'digit -> lit segments, such as { 6 = "cdefg" }; { } for the usual ones'),
    OptionSpec(
        "above_nine",
        "choice",
        "what a digit above 9 shows: nothing, a letter, the digit before, anything, or a dash",
        ("blank", "hex", "hold", "any", "dash"),
        "blank",
    ),
    OptionSpec(
        "reset_shows",
        "choice",
        "what is shown while reset is held",
        ("blank", "zero", "dash", "all"),
    ),
)
"""The options that a display shares."""

CONTROL_OPTIONS: tuple[OptionSpec, ...] = (
    OptionSpec("strongest", "choice", "which wins when both are asked for", ("lamp_test", "blank")),
    OptionSpec("blank_point", "choice", "what blank does to the decimal point", ("off", "kept")),
    OptionSpec("lamp_test_point", "choice", "what lamp_test does to the decimal point", ("on", "kept")),
    OptionSpec(
        "hold", "choice", "what a digit above 9 holds: the last glyph, or what was shown", ("glyph", "shown")
    ),
)
"""How the controls work together; each is measured where it is left out."""


class SegmentsFamily:
    """Decoders; registers in them are latency."""

    name = "segments"
    about = "a BCD or hexadecimal digit to seven segments"
    stateful = False
    roles: tuple[RoleSpec, ...] = (
        RoleSpec("digit", "input", "the digit"),
        RoleSpec("segments", "output", "the segments in one word; an eighth bit beyond g is the point"),
        RoleSpec("segment_ports", "output", "one port per segment, a to g, then the point", many=True),
        RoleSpec("blank", "input", "all segments off", control=True),
        RoleSpec("lamp_test", "input", "all segments on", control=True),
        RoleSpec("point", "input", "lights the decimal point", control=True),
    )
    options: tuple[OptionSpec, ...] = (*OPTIONS, *CONTROL_OPTIONS)

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,  # noqa: ARG002 -- makes no difference here
        observed: tuple[Stimulus, ObservedTrace] | None = None,  # noqa: ARG002 -- everything is tried
    ) -> tuple[Candidate, ...]:
        """One decoder per set of glyphs and per way in which the controls may work together."""
        values = OptionValues(self.options, options)
        inputs, wires = _inputs(shape), SegmentWires.of(shape, values)
        above = values.choice("above_nine")
        if above == "hex" and inputs[0].width > HEX_DIGIT_BITS:
            raise OptionError(
                "digit", f"a port of {inputs[0].width} bits", "four bits for hexadecimal digits"
            )
        bound = {signal.name for signal in inputs}
        if "point" in bound and not wires.has_point:
            raise OptionError("point", "no bit for the decimal point", "eight segments, the point beyond g")
        return tuple(
            Candidate(_model(inputs, wires, glyphs, above, overrides, values), {**shapes, **facts})
            for overrides, facts in _overrides(
                bound, values, holds=above == "hold", has_point=wires.has_point
            )
            for glyphs, shapes in glyph_choices(values, inputs[0].mask)
        )


def _inputs(shape: Shape) -> tuple[Signal, ...]:
    width = width_of(shape, "digit")
    if width is None:
        raise OptionError("digit", "no port", "the port with the digit")
    if width > WIDEST_DIGIT_BITS:
        raise OptionError("digit", f"a port of {width} bits", "four bits, or a slice of four")
    for role in ("blank", "lamp_test", "point"):
        if width_of(shape, role) not in (None, 1):
            raise OptionError(role, f"a port of {width_of(shape, role)} bits", "one bit")
    controls = [role for role in ("blank", "lamp_test", "point") if shape.get(role)]
    return (Signal("digit", width), *(Signal(role, 1) for role in controls))


def _model(
    inputs: tuple[Signal, ...],
    wires: SegmentWires,
    glyphs: tuple[int, ...],
    above: str,
    overrides: Overrides,
    values: OptionValues,
) -> Decoder | HoldingDecoder:
    decoder = Decoder(
        inputs,
        wires,
        glyphs,
        "any" if above == "any" else "blank",
        overrides,
        pattern_in_reset(values, glyphs),
    )
    return HoldingDecoder(decoder) if above == "hold" else decoder


def glyph_choices(values: OptionValues, highest: int) -> Iterator[tuple[tuple[int, ...], Mapping[str, Any]]]:
    """The glyphs that the options allow for digits up to ``highest``, and the fact that names them."""
    above = values.choice("above_nine")
    table = values.table("glyphs")
    if table is not None:
        yield pinned_glyphs(table, above_nine=above, highest=highest), {}
        return
    beyond = (DASH,) * (highest - 9) if above == "dash" else ()
    for patterns, letters in glyph_sets(highest, hexadecimal=above == "hex"):
        yield (*patterns, *beyond), {"glyphs": letters}


def pattern_in_reset(values: OptionValues, glyphs: tuple[int, ...]) -> int | None:
    """What ``reset_shows`` stands for, None when it was left out."""
    if not values.has("reset_shows"):
        return None
    return {"blank": BLANK, "zero": glyphs[0], "dash": DASH, "all": ALL_LIT}[values.choice("reset_shows")]


def _overrides(
    bound: set[str], values: OptionValues, *, holds: bool, has_point: bool
) -> Iterator[tuple[Overrides, Mapping[str, Any]]]:
    """Every way that the options allow in which the bound controls may work together, most usual first."""
    blank, lamp_test = "blank" in bound, "lamp_test" in bound
    matters = {
        "strongest": (blank and lamp_test, "with both blank and lamp_test bound"),
        "blank_point": (blank and "point" in bound, "with both blank and point bound"),
        "lamp_test_point": (lamp_test and has_point, "with lamp_test bound and eight segments"),
        "hold": (holds and (blank or lamp_test), 'with above_nine = "hold" and blank or lamp_test bound'),
    }
    ways: dict[str, tuple[str, ...]] = {}
    for spec in CONTROL_OPTIONS:
        open_here, when = matters[spec.name]
        if not open_here:
            values.refuse((spec.name,), f"this only {when}")
        pinned = values.has(spec.name)
        ways[spec.name] = (values.choice(spec.name),) if pinned else spec.choices[: 2 if open_here else 1]
    for strongest, blanked, tested, held in itertools.product(*ways.values()):
        facts = dict(zip(ways, (strongest, blanked, tested, held), strict=True))
        yield (
            Overrides(strongest == "lamp_test", blanked == "off", tested == "on", held == "shown"),
            {name: fact for name, fact in facts.items() if len(ways[name]) > 1},
        )


FAMILY: Family = SegmentsFamily()
"""The family of models called ``segments``."""
