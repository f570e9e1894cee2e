"""Faults of clock dividers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from verify.diagnose.bent.square import level_keeping
from verify.diagnose.bent.stretching import Stretched
from verify.diagnose.fault import Fault, counted
from verify.diagnose.vocabulary.context import Context, distinct
from verify.diagnose.vocabulary.flags import held_flags
from verify.models.controls import position
from verify.models.divider_square import SquareDivider
from verify.models.divider_tick import TickDivider
from verify.models.golden import GoldenModel

__all__ = ["ratio_fault", "ratios", "square_edits", "tick_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]

WIDEST_PULSE = 64

FIRST_APART = 4
"""The cost of a first period of its own: a plain ratio at another latency is likelier."""


def tick_edits(model: TickDivider, context: Context) -> Edits:
    """Another ratio, a longer tick, a clear that does less, a first period of another length."""
    name = context.name("tick")
    for ratio in ratios(model.ratio, context.evidence.gaps(0, rising=True)):
        fault = ratio_fault(name, ratio, model.ratio, "period")
        yield fault, replace(model, ratio=ratio)
        if not _free(model):
            lead = model.lead + model.ratio - ratio
            yield after_first(fault, model.ratio), replace(model, ratio=ratio, lead=lead)
    level = 1 - int(model.active_low)
    for clocks in distinct(context.evidence.widths(0, level), low=2, high=WIDEST_PULSE):
        yield (
            Fault(
                f"{name}.width = {clocks}",
                f"{name} stays active for {clocks} clocks instead of one",
                f"a tick of {clocks} clocks",
                signals=("tick",),
            ),
            Stretched(model, clocks, level),
        )
    yield from held_flags(model, context, ("tick",), rest=1 - level)
    yield from _phases(model, context)


def square_edits(model: SquareDivider, context: Context) -> Edits:
    """Another ratio, unequal halves, the other level first."""
    name = context.name("square")
    evidence = context.evidence
    high_level = 1 - int(model.active_low)
    highs, lows = evidence.widths(0, high_level), evidence.widths(0, 1 - high_level)
    pairs = [(h, low) for h in highs[:3] for low in lows[:3]]
    pairs += [(model.high + d, model.ratio - model.high - d) for d in (1, -1)]
    pairs += [(model.high + d, model.ratio - model.high + d) for d in (1, -1)]
    half = model.ratio - model.high
    if half == model.high:
        pairs += [(m, m) for m in _narrow(half)]
    for high, low in dict.fromkeys(pairs):
        if (high, low) == (model.high, model.ratio - model.high) or min(high, low) < 1:
            continue
        fault = _square_fault(name, high, low, model)
        edited = replace(model, ratio=high + low, high=high)
        yield fault, edited
        if not _free(model) and edited.first_part != model.first_part:
            lead = model.lead + model.first_part - edited.first_part
            yield (
                after_first(fault, model.first_part),
                replace(edited, lead=lead, lead_level=model.start_level),
            )
    other = replace(model, start_level=1 - model.start_level)
    text = f"{name} begins with {other.start_level} after reset instead of {model.start_level}"
    yield (
        Fault(
            f"{name}.start_level = {other.start_level}",
            text,
            f"a square that begins with {other.start_level}",
            2,
        ),
        other,
    )
    yield from _phases(model, context)


def ratios(ratio: int, measured: list[int]) -> list[int]:
    """Other ratios: those that were seen, the near ones, and what a narrow register makes of it."""
    likely = [ratio + 1, ratio - 1, *measured, *_narrow(ratio), 2 * ratio, ratio // 2, 2 * (ratio + 1)]
    return distinct(likely, without=(ratio,), low=1)


def _narrow(ratio: int) -> list[int]:
    """The period of a register too narrow for ``ratio`` - 1: a power of two, or what is left of it."""
    bits = (ratio - 1).bit_length()
    found = [1 << bits]
    for width in range(bits - 1, max(bits - 9, 0), -1):
        found += [1 << width, ((ratio - 1) & (1 << width) - 1) + 1]
    return [r for r in found if r != ratio]


def ratio_fault(name: str, ratio: int, proper: int, what: str) -> Fault:
    """The fault of counting ``ratio`` clocks instead of ``proper``."""
    key = f"{name}.ratio = {ratio}"
    constants = ((ratio - 1, proper - 1), (ratio, proper), (ratio, proper - 1))
    text = f"a {what} of {name} is {counted(ratio, 'clock')} instead of {proper:,}"
    bits = (proper - 1).bit_length()
    if ratio == proper + 1:
        text += f": the count runs 0 to {proper:,}, one too far"
    elif ratio == proper - 1:
        text += f": the count runs 0 to {ratio - 1:,}, one short"
    elif ratio & ratio - 1 == 0 and ratio < proper and ratio > 1:
        width = counted(ratio.bit_length() - 1, "bit")
        text += f": {width} of count run over before the terminal count of {proper - 1:,}, which needs {bits}"
    elif ratio == 1 << bits and ratio > proper:
        text += f": {bits} bits run over, the terminal count of {proper - 1:,} is missed"
    elif 1 < ratio < proper and any((proper - 1) & (1 << w) - 1 == ratio - 1 for w in range(1, bits)):
        left = next(w for w in range(1, bits) if (proper - 1) & (1 << w) - 1 == ratio - 1)
        text += f": of the terminal count of {proper - 1:,} only the lowest {counted(left, 'bit')} are left"
    elif ratio == 2 * proper:
        text += ", twice as long"
    return Fault(key, text, f"a ratio of {ratio:,}", 1, constants)


def after_first(fault: Fault, first: int) -> Fault:
    """The same fault, but for the first period, which is right: the count starts where it should."""
    text = (
        f"{fault.text}; only the first one after a reset is {first:,}: "
        "the count starts right, but is set back wrong"
    )
    claim = f"{fault.claim} after the first"
    return replace(fault, key=f"{fault.key}, first = {first}", text=text, claim=claim, cost=FIRST_APART)


def _free(model: TickDivider | SquareDivider) -> bool:
    """Nothing says where its first period begins."""
    return model.power_up[0] != 0


def _square_fault(name: str, high: int, low: int, model: SquareDivider) -> Fault:
    right_low = model.ratio - model.high
    key = f"{name}.high = {high}, low = {low}"
    if high == low and model.high == right_low:
        base = ratio_fault(name, high, right_low, "half period")
        return replace(base, key=key, claim=f"a square of {high:,} and {low:,} clocks", signals=("square",))
    shown = f"{name} is high for {counted(high, 'clock')} and low for {low:,}"
    text = f"{shown}, instead of {model.high:,} and {right_low:,}"
    constants = (
        (high - 1, model.high - 1),
        (low - 1, right_low - 1),
        (high, model.high),
        (low, right_low),
        (high + low - 1, model.ratio - 1),
    )
    return Fault(key, text, f"a square of {high:,} and {low:,} clocks", 1, constants, ("square",))


def _phases(model: TickDivider | SquareDivider, context: Context) -> Edits:
    """The first period after a reset, or after a clear, is of another length."""
    if position(model.inputs, "clear") < 0:
        return
    clear = context.name("clear")
    if isinstance(model, SquareDivider):
        name = context.name("square")
        text = f"{clear} sets the count back, but leaves the level of {name} as it is"
        yield Fault(f"{clear} = count only", text, f"a {clear} that keeps the level"), level_keeping(model)
        for begin in (1, 2):
            yield (
                Fault(
                    f"{clear}.phase = {begin}",
                    f"after {clear} the first part is {counted(begin, 'clock')} short",
                    f"a period that begins at {begin}",
                    2,
                ),
                replace(model, begin=begin),
            )
