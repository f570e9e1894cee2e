"""Faults of the turns of a counter of one number, and of single steps of it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

from verify.diagnose.bent.count import BentCount, bent_count
from verify.diagnose.fault import Fault, counted
from verify.diagnose.vocabulary.context import Context, distinct
from verify.models.controls import position
from verify.models.counter_model import Counter
from verify.models.golden import GoldenModel
from verify.wording import enumerated

__all__ = ["turn_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]

MOST_DETOURS = 4
"""Values with a wrong successor that are named."""


def turn_edits(model: Counter, context: Context, name: str) -> Edits:
    """One end is wrong, counting up or counting down."""
    bent = bent_count(model)
    if model.upward is not False:
        yield from _turns_up(bent, context, name)
    if model.upward is not True:
        yield from _turns_down(bent, context, name)
    yield from _detours(bent, context, name)
    yield from _mixed(bent, context, name)
    if model.carry is not None:
        port, top = context.name("carry"), model.modulo - model.step
        proper = {True: (top,), False: (0,), None: ()}[model.upward]
        for value in distinct([top - model.step, 0, top], without=proper):
            text = f"{port} goes with {value:,} instead of the last state"
            numbers = ((value, top),)
            fault = Fault(f"{port}.at = {value}", text, f"a carry at {value:,}", 1, numbers, ("carry",))
            yield fault, replace(bent, carry_at=value)


def _mixed(bent: BentCount, context: Context, name: str) -> Edits:
    """The end does not ask for the enable, or a load for the step."""
    run, load = context.name("enable"), context.name("load")
    if position(bent.inputs, "enable") >= 0:
        text = f"{name} leaves its last state without waiting for {run}: in a pause too"
        fault = Fault(f"{name}.wrap = in a pause too", text, f"a wrap that ignores {run}")
        yield fault, replace(bent, restless=True)
        if position(bent.inputs, "load") >= 0:
            text = (
                f"{load} does not take the place of a step: while {name} counts, "
                "it goes on from what is loaded in the same clock"
            )
            fault = Fault(f"{load} = counts on at once", text, "a load that is stepped in the same clock")
            yield fault, replace(bent, load_counts=True)


def _detours(bent: BentCount, context: Context, name: str) -> Edits:
    """Values that are followed by a wrong one: skipped, repeated, left in the wrong direction."""
    home = {bent.cleared, bent.power_up[0], bent.up_to, bent.down_to}
    often = 2 if position(bent.inputs, "load") >= 0 else 1
    found: dict[int, int] = {}
    for (before, after), count in context.evidence.steps(0).most_common():
        proper = {(before + bent.step) % bent.modulo, (before - bent.step) % bent.modulo}
        if after not in proper | home and count >= often and before < bent.modulo:
            found.setdefault(before, after)
    chosen = list(found.items())[:MOST_DETOURS]
    groups = [(pair,) for pair in chosen]
    ways = (True, False) if bent.upward is None else (bent.upward,)
    for group, up in itertools.product([*groups, tuple(chosen)] if len(chosen) > 1 else groups, ways):
        said = [
            f"after {before:,} {name} goes on at {after:,} instead of {_proper_after(bent, before, up=up):,}"
            for before, after in group
        ]
        way = f"counting {'up' if up else 'down'}, " if bent.upward is None else ""
        key = f"{name}: " + ", ".join(f"{before} -> {after}" for before, after in group)
        numbers = tuple((number, number) for pair in group for number in pair)
        claim = f"a counter that goes from {enumerated([f'{a:,} to {b:,}' for a, b in group])}"
        fault = Fault(key, way + "; ".join(said), claim, 1 + len(group), numbers)
        yield fault, replace(bent, detours=tuple((before, after, up) for before, after in group))


def _proper_after(bent: BentCount, before: int, *, up: bool) -> int:
    return (before + (bent.step if up else -bent.step)) % bent.modulo


def _turns_up(bent: BentCount, context: Context, name: str) -> Edits:
    step, top = bent.step, bent.modulo - bent.step
    steps = context.evidence.steps(0).most_common()
    falls = [(a, b) for (a, b), _ in steps if b < a - step][:6]
    # then another modulo says the same
    plain = bent.upward is True and position(bent.inputs, "load") < 0
    for last, to in dict.fromkeys([*falls, (top, 1), *((t, 0) for t, _ in falls)]):
        if (last, to) == (bent.up_last, bent.up_to) or (plain and to == 0 and last + step <= bent.states):
            continue
        text = f"counting up, {name} goes from {last:,} to {to:,}; it should go from {top:,} to 0"
        numbers = ((last, top), (last - step, top - step), (to, 0))
        key, claim = f"{name}.up: {last} -> {to}", f"a turn from {last:,} to {to:,}"
        yield Fault(key, text, claim, 1, numbers), replace(bent, up_last=last, up_to=to)
    stays = Fault(
        f"{name}.up: stops at {top}",
        f"counting up, {name} stops at {top:,} instead of going on at 0",
        "a counter that stops at its end",
        1,
        ((top, top),),
    )
    yield stays, replace(bent, up_last=top, up_to=top)
    text = f"counting up, nothing turns {name} back after {top:,}: it goes on to {bent.states - 1:,}"
    cost = 2 if plain else 1  # then another modulo says the same
    fault = Fault(f"{name}.up: no turn", text, "a counter without end going up", cost)
    yield fault, replace(bent, up_last=bent.states - step, up_to=0)


def _turns_down(bent: BentCount, context: Context, name: str) -> Edits:
    """Counting up, a counter may turn at its end alone, or at anything from there on."""
    top = bent.modulo - bent.step
    stays = Fault(
        f"{name}.down: stops at 0",
        f"counting down, {name} stops at 0 instead of going on at {top:,}",
        "a counter that stops at its end",
    )
    yield stays, replace(bent, down_last=0, down_to=0)
    steps = context.evidence.steps(0).most_common()
    rises = [(a, b) for (a, b), _ in steps if b > a + bent.step][:6]
    for last, to in dict.fromkeys([*rises, (0, bent.states - 1), (0, bent.modulo)]):
        if (last, to) == (bent.down_last, bent.down_to):
            continue
        text = f"counting down, {name} goes from {last:,} to {to:,}; it should go from 0 to {top:,}"
        if to == bent.states - 1 and last == 0:
            text += f": its {counted(bent.states.bit_length() - 1, 'bit')} run over"
        key, claim = f"{name}.down: {last} -> {to}", f"a turn from {last:,} to {to:,}"
        numbers = ((to, top), (last, 0))
        turned = replace(bent, down_last=last, down_to=to)
        yield Fault(key, text, claim, 1, numbers), turned
        if bent.upward is None:
            text += f"; and counting up, it turns from any value above {top:,}"
            over = Fault(f"{key}, up from beyond", text, claim, 1, numbers)
            yield over, replace(turned, beyond=True)
