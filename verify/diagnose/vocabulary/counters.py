"""Faults of counters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

from verify.diagnose.bent.count import BentCount
from verify.diagnose.bent.counter import BentCounter
from verify.diagnose.fault import Fault, counted
from verify.diagnose.vocabulary.context import Context, distinct
from verify.diagnose.vocabulary.digits import digit_edits
from verify.diagnose.vocabulary.flags import held_flags
from verify.diagnose.vocabulary.numbers import number_name, number_steps
from verify.diagnose.vocabulary.turns import turn_edits
from verify.models.controls import position
from verify.models.counter_model import Carry, Counter
from verify.models.golden import GoldenModel

__all__ = ["counter_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]


CARRIES: tuple[Carry, ...] = ("last_state", "last_state_and_enable", "after_wrap")
CARRY_TEXTS = {
    "last_state": "is high in the last state, whether the counter is enabled or not",
    "last_state_and_enable": "is high in the last state only while the counter is enabled",
    "after_wrap": "is high for one clock after the wrap",
}


def counter_edits(model: Counter, context: Context) -> Edits:
    """Other ends, starts, steps and directions, carries, priorities, and digits that misbehave."""
    name = number_name(model, context)
    if isinstance(model, BentCounter):
        yield from digit_edits(model, context)
        return
    if not isinstance(model, BentCount):
        yield from _moduli(model, context, name)
        yield from _plain(model, context, name)
    if not model.face.radices:
        yield from turn_edits(model, context, name)
    else:
        yield from digit_edits(model, context)


def _moduli(model: Counter, context: Context, name: str) -> Edits:
    steps = number_steps(model, context)
    single = len(model.face.widths) == 1 and not model.face.radices
    most = 1 << model.face.widths[0] if single else model.face.numbers
    falls = [b for (b, after), _ in steps.most_common() if after < b - model.step or after > b + model.step]
    tops = [before + model.step for before in falls[:6]]
    jumps = [
        after + model.step
        for (before, after), _ in steps.most_common()
        if before < model.step and after > before + model.step
    ][:6]
    natural = 1 << (model.modulo - 1).bit_length()
    likely = [
        model.modulo + 1,
        model.modulo - 1,
        *tops,
        *jumps,
        natural,
        most,
        model.modulo + model.step,
        model.modulo - model.step,
    ]
    for modulo in distinct(likely, without=(model.modulo,), low=2, high=most):
        start, cleared = model.power_up[0], model.cleared
        ends = (modulo - 1,) if start == model.modulo - 1 else ()
        for first in (start, *ends):
            if first >= modulo or model.step >= modulo:
                continue
            begin = first if cleared == start else cleared
            if begin >= modulo:
                continue
            yield (
                _modulo_fault(name, modulo, model, first),
                replace(model, modulo=modulo, cleared=begin, power_up=(first, *model.power_up[1:])),
            )


def _modulo_fault(name: str, modulo: int, model: Counter, first: int) -> Fault:
    last, proper = modulo - model.step, model.modulo - model.step
    text = f"{name} runs 0 to {last:,} instead of 0 to {proper:,}"
    if modulo == model.modulo + model.step:
        text = f"{name} runs 0 to {last:,}: it rolls over one count late"
    elif modulo == model.modulo - model.step:
        text = f"{name} runs 0 to {last:,}: it rolls over one count early"
    elif modulo & modulo - 1 == 0 and modulo > model.modulo:
        bits = counted(modulo.bit_length() - 1, "bit")
        text = f"{name} runs 0 to {last:,}: nothing turns it back before its {bits} run over"
    key = f"{name}.modulo = {modulo}"
    if first != model.power_up[0]:
        key += f", start = {first}"
        text += f", and starts at {first:,}"
    constants = (
        (last, proper),
        (modulo, model.modulo),
        (modulo - 1, model.modulo),
        (modulo, model.modulo - 1),
    )
    return Fault(key, text, f"a modulo of {modulo:,}", 1, constants)


def _plain(model: Counter, context: Context, name: str) -> Edits:
    start = model.power_up[0]
    seen = (
        [int(v) for t in context.evidence.traces for v in t.values[0][:2].tolist()]
        if not model.face.radices
        else []
    )
    for value in distinct([*seen, 0, 1, model.modulo - 1], without=(start,), high=model.modulo - 1):
        yield (
            Fault(
                f"{name}.start = {value}",
                f"reset puts {name} to {value:,} instead of {start:,}",
                f"a start of {value:,}",
                constants=((value, start),),
            ),
            replace(model, power_up=(value, *model.power_up[1:])),
        )
        yield (
            Fault(
                f"{name}.start = {value}, clear too",
                f"reset and clear put {name} to {value:,} instead of {start:,}",
                f"a start of {value:,}",
                constants=((value, start),),
            ),
            replace(model, power_up=(value, *model.power_up[1:]), cleared=value),
        )
    clear = position(model.inputs, "clear")
    if clear >= 0:
        after = (
            [b for (_, b), _ in context.evidence.steps(0).most_common(12)] if not model.face.radices else []
        )
        for value in distinct(
            [0, 1, model.modulo - 1, start, *after], without=(model.cleared,), high=model.modulo - 1
        ):
            text = f"{context.name('clear')} puts {name} to {value:,} instead of {model.cleared:,}"
            yield (
                Fault(
                    f"{name}.cleared = {value}",
                    text,
                    f"a clear to {value:,}",
                    constants=((value, model.cleared),),
                ),
                replace(model, cleared=value),
            )
    yield from _steps(model, context, name)
    yield from _carries(model, context)
    yield from held_flags(model, context, ("carry",))
    yield from _priorities(model, context)


def _priorities(model: Counter, context: Context) -> Edits:
    bound = [c for c in model.priority if position(model.inputs, c) >= 0]
    others = [c for c in model.priority if c not in bound]
    proper = " before ".join(context.name(c) for c in bound)
    for order in permutations(bound):
        if list(order) != bound:
            strong = " before ".join(context.name(c) for c in order)
            yield (
                Fault(
                    f"priority = {strong}",
                    f"the priority of the controls is {strong}; it should be {proper}",
                    f"the priority {strong}",
                ),
                replace(model, priority=(*order, *others)),
            )


def _steps(model: Counter, context: Context, name: str) -> Edits:
    if model.upward is not None:
        way = "down" if model.upward else "up"
        yield (
            Fault(f"{name}.direction = {way}", f"{name} counts {way}", f"counting {way}"),
            replace(model, upward=not model.upward),
        )
    gaps = (
        [abs(b - a) for (a, b), _ in context.evidence.steps(0).most_common(6)]
        if not model.face.radices
        else []
    )
    for step in distinct(
        [*gaps, model.step + 1, model.step - 1], without=(model.step,), low=1, high=model.modulo - 1
    ):
        yield (
            Fault(
                f"{name}.step = {step}",
                f"{name} counts in steps of {step} instead of {model.step}",
                f"a step of {step}",
                2 if step > model.modulo // 2 else 1,
                ((step, model.step),),
            ),
            replace(model, step=step),
        )


def _carries(model: Counter, context: Context) -> Edits:
    if model.carry is None:
        return
    name = context.name("carry")
    for kind in CARRIES:
        if kind != model.carry:
            yield (
                Fault(
                    f"{name} = {kind}",
                    f"{name} {CARRY_TEXTS[kind]}",
                    f"a carry that {CARRY_TEXTS[kind]}",
                    signals=("carry",),
                ),
                replace(model, carry=kind),
            )
