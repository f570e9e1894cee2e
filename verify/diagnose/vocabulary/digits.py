"""Faults of counters made of digits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from verify.diagnose.bent.counter import BentCounter, bent_counter
from verify.diagnose.fault import Fault, staged
from verify.diagnose.vocabulary.chains import stage_bends
from verify.diagnose.vocabulary.context import Context, distinct
from verify.diagnose.vocabulary.numbers import number_name, number_steps
from verify.models.controls import position
from verify.models.counter_model import Counter
from verify.models.golden import GoldenModel

__all__ = ["digit_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]


def digit_edits(model: Counter, context: Context) -> Edits:
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
                    f"{staged(names[i])} with modulo {other}",
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
        yield from _not_turned(model, bent, context, names, signals)


def _not_turned(
    model: Counter, bent: BentCounter, context: Context, names: list[str], signals: list[str]
) -> Edits:
    """The number as a whole does not turn back, or not in all of its digits."""
    last, top = model.modulo - 1, len(names) - 1
    for i, name in enumerate(names):
        text = f"{name} is left out when the digits turn back after {last:,}: it only goes by its own carry"
        bends = (*bent.bends[:i], replace(bent.bends[i], unturned=True), *bent.bends[i + 1 :])
        claim = f"digits of which {name} does not turn back"
        numbers = tuple((end, end) for end in (model.face.digits(last)[i], last))
        fault = Fault(f"{name}.end = ignored", text, claim, 1, numbers, tuple(signals[i : i + 1]))
        yield fault, replace(bent, bends=bends)
    after = [b for (a, b), _ in number_steps(model, context).most_common() if a == last][:4]
    name = number_name(model, context)
    for value in distinct([*after, 1], without=(0,), high=last):
        text = f"after {last:,} {name} goes on at {value:,} instead of 0"
        claim = f"a number that goes on at {value:,}"
        yield (
            Fault(f"{name}.wraps_to = {value}", text, claim, 1, ((value, 0),)),
            replace(bent, wraps_to=value),
        )
    room = 1 << min(model.face.widths[-1], 4)
    if room > bent.radices[-1]:
        text = f"the digits do not turn back after {last:,}: {names[top]} counts on to {room - 1}"
        radices = (*bent.radices[:-1], room)
        fault = Fault("modulo = none, to the last bit", text, f"digits without the end at {model.modulo}")
        yield fault, replace(bent, whole_wrap=False, radices=radices)


def _digit_names(model: Counter, context: Context) -> list[str]:
    count = len(model.face.radices)
    if len(model.face.widths) == count:
        return [context.name(s.name) for s in model.outputs[:count]]
    port = context.name(model.outputs[0].name)
    usual = ("ones", "tens", "hundreds", "thousands")
    return [f"{usual[i] if i < len(usual) else f'digit {i}'} of {port}" for i in range(count)]
