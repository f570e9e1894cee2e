"""Hold a constant of the design on the board against the same one in the scaled run."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from verify.timescale.finding import Finding
from verify.timescale.form import Form
from verify.timescale.scan import Site
from verify.timescale.terms import Step

__all__ = ["SHORTEST_CLOCKS", "Scale", "judge"]

SHORTEST_CLOCKS = 2
"""A counter that is left with fewer clocks no longer counts."""

_WIDTH_SLACK = 2
"""A width may be that of the count or of the terminal count, with a bit of reserve."""


@dataclass(frozen=True, slots=True)
class Scale:
    """The clock parameter ``name`` on the board and in the run.

    ``free_clocks``: counts in the run that may have any length on the board (a dwell of a scan).
    """

    name: str
    native: int
    factor: int | Fraction
    free_clocks: frozenset[int] = frozenset()

    @property
    def scaled(self) -> int:
        """The parameter in the run."""
        return int(self.native // self.factor)

    @property
    def here(self) -> str:
        """The run in words."""
        return f"at the scaled {self.name} = {self.scaled:,}"


def judge(native: Site, scaled: Site | None, scale: Scale) -> Iterator[Finding]:
    """What is wrong with a constant that follows the clock parameter.

    ``scaled`` None: there is no scaled run, or it has no such place.
    """
    found = [*_widths(native, scaled, scale), *_losses(native, scale), *_divisions(native, scaled, scale)]
    yield from found
    lost = any(finding.unsound for finding in found)
    rounded = [step for step in native.term.steps if step.kind == "divide" and not _exact(step, 1)]
    if rounded and native.term.form is not None:
        yield _rounding(rounded[0], native, None if lost else scaled, scale)
    elif scaled is not None and not lost:
        yield from _proportion(native, scaled, scale)


def _widths(native: Site, scaled: Site | None, scale: Scale) -> Iterator[Finding]:
    value = int(native.term.value)
    comparison, room = native.comparison, native.room
    if comparison is not None and value > comparison.largest:
        there = None if scaled is None else scaled.comparison
        if scaled is not None and there is not None and scaled.term.value > there.largest:
            return  # the scaled run shows what comes of it
        always = "always" if comparison.operator in {"<", "<=", "!="} else "never"
        yield Finding(
            "too_narrow",
            f"{comparison.name} has {comparison.width} bits and reaches at most {comparison.largest:,}: "
            f"`{comparison.name} {comparison.operator} {native.text}` is {always} true at "
            f"{scale.name} = {scale.native:,}, where {native.text} is {value:,}",
            native.place,
            definite=value > comparison.largest + 1,
            native_clocks=value,
        )
    elif room is not None and not _has_room(signed := _signed(native, native.term.form, 1), room.width):
        yield Finding(
            "truncated",
            f"{room.name} has {room.width} bits: {native.text} = {signed:,} does not fit and becomes "
            f"{value & ((1 << room.width) - 1):,} at {scale.name} = {scale.native:,}",
            native.place,
            definite=True,
            native_clocks=abs(signed),
        )


def _has_room(value: int, width: int) -> bool:
    """Whether ``width`` bits hold a number, or the distance to go of a count that starts below zero."""
    return -(1 << width) <= value < (1 << width)


def _losses(native: Site, scale: Scale) -> Iterator[Finding]:
    """Bits that the calculation lost on the board, unless the result is right all the same."""
    form = native.term.form
    if form is not None and form.at(1) == _signed(native, form, 1):
        return
    if (
        form is not None
        and form.at(1) < 0
        and form.at(1) + (1 << native.bits) < 0
        and native.room is not None
    ):
        yield Finding(
            "truncated",
            f"{native.room.name} has {native.bits} bits: {native.text} = {int(form.at(1)):,} does not fit at "
            f"{scale.name} = {scale.native:,}",
            native.place,
            definite=True,
            native_clocks=-int(form.at(1)),
        )
    for step in native.term.steps:
        if step.kind == "truncate":
            cut = f"{step.text} = {step.before:,} is cut to {step.width} bits and becomes {step.after:,}"
        elif step.kind == "overflow":
            cut = (
                f"{step.text} is {step.before:,}, which does not fit its {step.width} bits, "
                f"and comes out as {step.after:,}"
            )
        else:
            continue
        yield Finding(
            "truncated" if step.kind == "truncate" else "overflow",
            f"{cut} at {scale.name} = {scale.native:,}",
            step.place,
            definite=not step.selected,
            native_clocks=abs(step.before),
        )


def _divisions(native: Site, scaled: Site | None, scale: Scale) -> Iterator[Finding]:
    here = {} if scaled is None else {step.key: step for step in scaled.term.steps if step.kind == "divide"}
    for step in native.term.steps:
        if step.kind != "divide":
            continue
        there = here.get(step.key)
        if there is None:
            continue
        if there.after == 0 and step.after != 0:
            yield Finding(
                "becomes_zero",
                f"{step.text} is {step.after:,} on the board and becomes 0 {scale.here}",
                step.place,
            )
        elif _exact(step, 1) and not _exact(there, scale.factor):
            yield Finding(
                "loses_remainder",
                f"{step.text} is exactly {step.after:,} on the board and loses its remainder {scale.here}: "
                f"{there.after:,} instead of {_exactly(there, scale.factor)}",
                step.place,
            )


def _rounding(step: Step, native: Site, scaled: Site | None, scale: Scale) -> Finding:
    """A quotient that is rounded on the board already; in the scaled run it is seldom so by as much."""
    exactly = "no whole number" if step.form is None else f"{float(step.form.at(1)):,.6f}"
    text = f"{step.text} is {exactly}, rounded to {step.after:,} on the board"
    told = Finding("inexact", f"{text}: that is not exactly the nominal time", step.place, unsound=False)
    board, form = int(native.term.value), native.term.form
    if scaled is None or form is None:
        return told
    run = int(scaled.term.value)
    if _follows(board, run, form, scale) or run - math.floor(form.fixed) in scale.free_clocks:
        return told
    if form.power == 1 and run - math.floor(form.fixed) < SHORTEST_CLOCKS:
        return Finding("too_short", f"{text}, and {native.text} is {run:,} {scale.here}", step.place)
    return Finding(
        "inexact",
        f"{text}; {scale.here} {native.text} is {run:,}, which is not as far from the exact value",
        step.place,
        native_clocks=max(scale.native, board),
    )


def _exact(step: Step, factor: int | Fraction) -> bool:
    return step.remainder == 0 if step.form is None else step.form.scaling(factor).denominator == 1


def _exactly(step: Step, factor: int | Fraction) -> str:
    return "the exact quotient" if step.form is None else f"{float(step.form.at(factor)):,.6g}"


def _proportion(native: Site, scaled: Site, scale: Scale) -> Iterator[Finding]:
    form = native.term.form
    board, run = _signed(native, form, 1), _signed(scaled, form, scale.factor)
    told = f"{native.text} is {board:,} on the board and {run:,} {scale.here}"
    if native.is_condition:
        if bool(board) != bool(run):
            yield Finding("branch", f"{told}: the scaled run takes another branch", native.place)
    elif (
        form is not None
        and form.power == 1
        and form.scaling(scale.factor) < SHORTEST_CLOCKS <= form.scaling(1)
    ):
        yield Finding("too_short", f"{told}: too short to be counted", native.place)
    elif run == 0 < board and form is not None:
        yield Finding("becomes_zero", told, native.place)
    elif run < 0 <= board or (form is not None and form.at(scale.factor) < 0 <= form.at(1)):
        yield Finding("negative", f"{told}: it is less than nothing", native.place)
    elif form is None:
        if not (_as_value(board, run, scale) or _as_width(board, run, scale)):
            yield Finding(
                "not_proportional", f"{told}, which is not in proportion to the clock", native.place
            )
    elif not _follows(board, run, form, scale):
        yield Finding("not_proportional", f"{told}, which is not in proportion to the clock", native.place)


def _follows(board: int, run: int, form: Form, scale: Scale) -> bool:
    """The part that scales is in proportion; a fixed part (the 1 of a terminal count) stays."""
    if not form.scales:
        return board == run
    if form.power is None:
        return form.at(1) == board and form.at(scale.factor) == run
    fixed = math.floor(form.fixed)
    return Fraction(board - fixed) == Fraction(scale.factor) ** form.power * (run - fixed)


def _signed(site: Site, form: Form | None, factor: int | Fraction) -> int:
    """The value; a negative number in unsigned bits (a counter that starts below zero) as such."""
    value = int(site.term.value)
    below = form is not None and form.at(factor) < 0 <= value
    return value - (1 << site.bits) if below else value


def _as_value(board: int, run: int, scale: Scale) -> bool:
    """The same everywhere, a count of clocks or a terminal count."""
    return board == run or any((board + one) == (run + one) * scale.factor for one in (0, 1))


def _as_width(board: int, run: int, scale: Scale) -> bool:
    """A number of bits, from $clog2 or a function of the user's."""
    return all(
        abs(bits - value.bit_length()) <= _WIDTH_SLACK
        for bits, value in ((board, scale.native), (run, scale.scaled))
    )
