"""Faults of counters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

from verify.diagnose.bent.count import BentCount, bent_count
from verify.diagnose.bent.counter import BentCounter, bent_counter
from verify.diagnose.fault import Fault, counted, indefinite
from verify.diagnose.vocabulary.chains import stage_bends
from verify.diagnose.vocabulary.context import Context, distinct
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
    name = _name(model, context)
    if isinstance(model, BentCounter):
        yield from _digit_edits(model, context)
        return
    if not isinstance(model, BentCount):
        yield from _moduli(model, context, name)
        yield from _plain(model, context, name)
    if not model.face.radices:
        yield from _turns(model, context, name)
    else:
        yield from _digit_edits(model, context)


def _name(model: Counter, context: Context) -> str:
    shown = [context.name(s.name) for s in model.outputs if s.name.startswith(("count", "digits"))]
    return shown[0] if len(shown) == 1 else "the number"


def _moduli(model: Counter, context: Context, name: str) -> Edits:
    evidence = context.evidence
    single = len(model.face.widths) == 1 and not model.face.radices
    most = 1 << model.face.widths[0] if single else model.face.numbers
    tops = [t + model.step for t in evidence.tops(0)] if single else []
    jumps = (
        [
            after + model.step
            for (before, after), _ in evidence.steps(0).items()
            if before < model.step and after > before + model.step
        ]
        if single
        else []
    )
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
        (modulo - 1, model.modulo - 1),
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
    bound = [c for c in model.priority if position(model.inputs, c) >= 0]
    for order in permutations(model.priority):
        if [c for c in order if c in bound] != bound:
            strong = " before ".join(context.name(c) for c in order if c in bound)
            yield (
                Fault(
                    f"priority = {strong}",
                    f"the controls have another priority: {strong}",
                    f"the priority {strong}",
                ),
                replace(model, priority=order),
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
                constants=((step, model.step),),
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


def _turns(model: Counter, context: Context, name: str) -> Edits:
    """One end is wrong, counting up or counting down."""
    bent = bent_count(model)
    if model.upward is not False:
        yield from _turns_up(bent, context, name)
    if model.upward is not True:
        yield from _turns_down(bent, context, name)
    if model.carry is not None:
        port, top = context.name("carry"), model.modulo - model.step
        proper = {True: (top,), False: (0,), None: ()}[model.upward]
        for value in distinct([top - model.step, 0, top], without=proper):
            text = f"{port} goes with {value:,} instead of the last state"
            numbers = ((value, top),)
            fault = Fault(f"{port}.at = {value}", text, f"a carry at {value:,}", 1, numbers, ("carry",))
            yield fault, replace(bent, carry_at=value)


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
    text = f"counting up, nothing turns {name} back after {top:,}: it goes on to {bent.states - 1:,}"
    fault = Fault(f"{name}.up: no turn", text, "a counter without end going up")
    yield fault, replace(bent, up_last=bent.states - step, up_to=0)


def _turns_down(bent: BentCount, context: Context, name: str) -> Edits:
    """Counting up, a counter may turn at its end alone, or at anything from there on."""
    top = bent.modulo - bent.step
    steps = context.evidence.steps(0).most_common()
    rises = [(a, b) for (a, b), _ in steps if b > a + bent.step][:6]
    for last, to in dict.fromkeys([*rises, (0, bent.states - 1), (0, bent.modulo)]):
        if (last, to) == (bent.down_last, bent.down_to):
            continue
        text = f"counting down, {last:,} is followed by {to:,}; it should be 0 by {top:,}"
        if to == bent.states - 1 and last == 0:
            text += f": the {counted(bent.states.bit_length() - 1, 'bit')} run over"
        key, claim = f"{name}.down: {last} -> {to}", f"a turn from {last:,} to {to:,}"
        numbers = ((to, top), (last, 0))
        turned = replace(bent, down_last=last, down_to=to)
        yield Fault(key, f"{name}: {text}", claim, 1, numbers), turned
        if bent.upward is None:
            text += f"; and counting up, it turns from any value above {top:,}"
            over = Fault(f"{key}, up from beyond", f"{name}: {text}", claim, 1, numbers)
            yield over, replace(turned, beyond=True)


def _digit_edits(model: Counter, context: Context) -> Edits:
    """Digits with a radix of their own, and every fault of a stage."""
    bent = bent_counter(model)
    count = len(bent.radices)
    if count == 0:
        return
    separate = len(model.face.widths) > 1 or count == 1
    names = _digit_names(model, context)
    evidence = context.evidence
    for i, radix in enumerate(bent.radices):
        room = min(16, 1 << model.face.widths[i]) if separate else 16
        tops = [t + 1 for t in evidence.tops(i)] if separate else []
        if model.modulo < model.face.numbers and i == count - 1:
            continue
        for other in distinct([radix + 1, radix - 1, *tops, 16, 10], without=(radix,), low=2, high=room):
            radices = (*bent.radices[:i], other, *bent.radices[i + 1 :])
            text = f"{names[i]} runs 0 to {other - 1} instead of 0 to {radix - 1}"
            yield (
                Fault(
                    f"{names[i]}.modulo = {other}",
                    text,
                    f"{indefinite(names[i])} of modulo {other}",
                    1,
                    ((other - 1, radix - 1), (other, radix)),
                ),
                replace(bent, radices=radices, whole_wrap=False),
            )
    controls = {c: context.name(c) for c in ("enable", "clear", "load") if position(model.inputs, c) >= 0}
    controls["reset"] = "reset"
    signals = [model.outputs[i].name if separate else model.outputs[0].name for i in range(count)]
    none: list[list[int]] = [[] for _ in range(count)]
    for fault, bends in stage_bends(
        bent.bends,
        bent.radices,
        names,
        signals,
        controls=controls,
        down=model.upward is False,
        seen_carries=none,
        seen_wraps=none,
    ):
        yield fault, replace(bent, bends=bends)
    if model.modulo < model.face.numbers:
        text = f"the digits do not turn back at {model.modulo}: each only carries into the next"
        yield (
            Fault("modulo = none", text, f"digits without the end at {model.modulo}"),
            replace(bent, whole_wrap=False),
        )


def _digit_names(model: Counter, context: Context) -> list[str]:
    count = len(model.face.radices)
    if len(model.face.widths) == count:
        return [context.name(s.name) for s in model.outputs[:count]]
    port = context.name(model.outputs[0].name)
    usual = ("ones", "tens", "hundreds", "thousands")
    return [f"{usual[i] if i < len(usual) else f'digit {i}'} of {port}" for i in range(count)]
