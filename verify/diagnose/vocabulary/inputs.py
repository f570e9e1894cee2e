"""Faults on the way in: controls that are ignored, upside down or late, numbers that lose bits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, product

from verify.diagnose.bent.immediate import Immediate
from verify.diagnose.bent.inputs import InputChange, inputs_changed, inputs_late
from verify.diagnose.bent.rising import RisingInput
from verify.diagnose.fault import Fault, indefinite
from verify.diagnose.kinds import follows, is_table
from verify.diagnose.vocabulary.context import Context
from verify.models.controls import position
from verify.models.counter_model import Counter
from verify.models.golden import Drivable, GoldenModel
from verify.models.timer_model import Timer
from verify.wording import enumerated

__all__ = ["control_edits", "data_edits"]

MOST_PAIRS_BITS = 20
"""Wires of an input are swapped in pairs up to this width."""

WHAT_REMAINS = {
    "enable": "it never pauses",
    "clear": "it never clears",
    "load": "it never loads",
    "up": "it always counts up",
    "blank": "it never blanks",
    "lamp_test": "there is no lamp test",
    "point": "the point is never lit",
    "start": "it never starts",
}


def control_edits(model: GoldenModel, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """Controls that are ignored, upside down, late, or below another."""
    resting = model.resting if isinstance(model, Drivable) else {}
    controls = [i for i, s in enumerate(model.inputs) if s.width == 1]
    for index in controls:
        signal = model.inputs[index].name
        yield from _reading(signal, _control(model, index, resting.get(signal, 0), context))
    yield from _gated(model, context)
    yield from _late(model, context)
    if not is_table(model) and not follows(model):
        yield from _heard_once(model, context)
    yield from _at_once(model, context)


def _reading(signal: str, found: Iterator[tuple[Fault, GoldenModel]]) -> Iterator[tuple[Fault, GoldenModel]]:
    """With the input that the design takes in a wrong way."""
    yield from ((replace(fault, reads=(signal,)), edited) for fault, edited in found)


def _heard_once(model: GoldenModel, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """An edge detector before a control whose level should count."""
    for signal in ("enable", "clear", "load"):
        index = position(model.inputs, signal)
        if index >= 0:
            name = context.name(signal)
            for unreset in (False, True):
                yield (
                    Fault(
                        f"{name} = in its first clock only" + (", register without reset" if unreset else ""),
                        f"{name} acts in the first clock of every time that it is active, and not in those "
                        "that follow",
                        f"{name} behind an edge detector",
                    ),
                    RisingInput(model, index, unreset),
                )


def _at_once(model: GoldenModel, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """A clear or load as an asynchronous reset has it."""
    for signal in ("clear", "load"):
        index = position(model.inputs, signal)
        if index >= 0 and _comes_to_rest(model, signal):
            name = context.name(signal)
            others = [position(model.inputs, other) for other in ("clear", "load")]
            yield (
                Fault(
                    f"{name} = asynchronous",
                    f"{name} acts at once, without waiting for the clock edge: it is asynchronous",
                    f"{indefinite(signal)} that does not wait for the clock",
                ),
                Immediate(model, index, tuple(i for i in others if i not in {-1, index})),
            )


def _comes_to_rest(model: GoldenModel, signal: str) -> bool:
    """Under this control nothing goes on counting."""
    if isinstance(model, Counter):
        return model.priority.index(signal) < model.priority.index("enable")
    if isinstance(model, Timer):
        return (model.at_clear if signal == "clear" else model.at_load) == "back"
    return False


def data_edits(model: GoldenModel, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """Numbers that lose bits or have them in the wrong order."""
    for index, signal in enumerate(model.inputs):
        if signal.width > 1:
            yield from _reading(signal.name, _data(model, index, context))
    yield from _exchanged(model, context)


def _exchanged(model: GoldenModel, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """Two numbers of one width in each other's place."""
    wide = [i for i, s in enumerate(model.inputs) if s.width > 1]
    for a, b in combinations(wide, 2):
        if model.inputs[a].width == model.inputs[b].width:
            here, there = context.name(model.inputs[a].name), context.name(model.inputs[b].name)
            yield (
                Fault(
                    f"{here} <-> {there}",
                    f"{here} and {there} are taken for each other",
                    f"{here} and {there} swapped",
                ),
                inputs_changed(model, InputChange(a, source=b), InputChange(b, source=a)),
            )


def _control(
    model: GoldenModel, index: int, rest: int, context: Context
) -> Iterator[tuple[Fault, GoldenModel]]:
    signal = model.inputs[index].name
    name = context.name(signal)
    remains = WHAT_REMAINS.get(signal, f"as if it were always {rest}")
    yield (
        Fault(f"{name} = ignored", f"{name} is ignored: {remains}", f"a design without {name}"),
        inputs_changed(model, InputChange(index, constant=rest)),
    )
    if signal == "up":
        yield (
            Fault(
                f"{name} = ignored, 0",
                f"{name} is ignored: it always counts down",
                f"a design without {name}",
            ),
            inputs_changed(model, InputChange(index, constant=0)),
        )
    text = f"{name} acts at the other level: 1 and 0 have changed places"
    if signal == "up":
        text = f"{name} acts the wrong way round: it counts down while {name} says up"
    yield (
        Fault(f"{name} = inverted", text, f"{name} the other way round"),
        inputs_changed(model, InputChange(index, invert=1)),
    )


def _gated(model: GoldenModel, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    enable = position(model.inputs, "enable")
    if enable < 0:
        return
    run = context.name("enable")
    for signal in ("clear", "load"):
        index = position(model.inputs, signal)
        if index < 0:
            continue
        name = context.name(signal)
        yield (
            Fault(
                f"{name} = only while {run}",
                f"{name} acts only while {run} is active; in a pause it is ignored",
                f"{name} below {run} in priority",
            ),
            inputs_changed(model, InputChange(index, gate=enable)),
        )
        yield (
            Fault(
                f"{name} = only in a pause",
                f"{name} acts only while {run} is not active: counting beats it",
                f"{name} below counting in priority",
            ),
            inputs_changed(model, InputChange(index, gate=enable, gate_invert=True)),
        )
        if signal == "clear":
            yield (
                Fault(
                    f"pause = {name}",
                    f"a pause acts as {name} does: everything counted so far is lost",
                    f"a pause that also does what {name} does",
                    2,
                ),
                inputs_changed(model, InputChange(index, gate=enable, gate_invert=True, gate_with="or")),
            )


def _data(model: GoldenModel, index: int, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    signal = model.inputs[index]
    name, width = context.name(signal.name), signal.width
    shown = f"of {name}"
    for kept in range(width - 1, 0, -1):
        lost = width - kept
        what = f"the top bit {shown} is lost" if lost == 1 else f"the top {lost} bits {shown} are lost"
        text = f"{what}: only its lower {kept} bits count" if kept > 1 else f"{what}: only bit 0 counts"
        bits = tuple(b if b < kept else None for b in range(width))
        yield (
            Fault(
                f"{name}.bits = {kept}",
                text,
                f"a design that takes {kept} of {width} bits",
                constants=((kept, width), (kept - 1, width - 1)),
            ),
            inputs_changed(model, InputChange(index, bits=bits)),
        )
    back = tuple(range(width - 1, -1, -1))
    yield (
        Fault(
            f"{name}.order = reversed",
            f"the bits {shown} are taken in reverse order",
            f"{name} with its bits reversed",
        ),
        inputs_changed(model, InputChange(index, bits=back)),
    )
    yield (
        Fault(f"{name}.polarity = inverted", f"{name} is taken inverted", f"{name} inverted"),
        inputs_changed(model, InputChange(index, invert=signal.mask)),
    )
    for bit in range(width - 1):
        bits = tuple(None if b == bit else b for b in range(width))
        yield (
            Fault(
                f"{name}[{bit}] = 0",
                f"bit {bit} {shown} is lost: it counts as 0",
                f"{name} without bit {bit}",
            ),
            inputs_changed(model, InputChange(index, bits=bits)),
        )
    for bit in range(width):
        yield (
            Fault(
                f"{name}[{bit}] = 1",
                f"bit {bit} {shown} counts as 1 all the time",
                f"{name} with bit {bit} at 1",
                2,
            ),
            inputs_changed(model, InputChange(index, ones=1 << bit)),
        )
    if width > MOST_PAIRS_BITS:
        return
    for low in range(width):
        for high in range(low + 1, width):
            order = list(range(width))
            order[low], order[high] = high, low
            yield (
                Fault(
                    f"{name}[{high}] <-> {name}[{low}]",
                    f"bits {high} and {low} {shown} are swapped",
                    f"{name} with bits {high} and {low} swapped",
                    2,
                ),
                inputs_changed(model, InputChange(index, bits=tuple(order))),
            )


def _late(model: GoldenModel, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """Not where all inputs of a converter are late: that is its latency."""
    groups: list[tuple[int, ...]] = [(i,) for i in range(len(model.inputs))] if len(model.inputs) > 1 else []
    if not is_table(model) and len(model.inputs) == 1:
        groups = [(0,)]
    load = position(model.inputs, "load")
    data = tuple(i for i, s in enumerate(model.inputs) if s.name.startswith("load_value"))
    if load >= 0 and data:
        groups.insert(0, (load, *data))
    for group, unreset in product(groups, (False, True) if not is_table(model) else (False,)):
        late = inputs_late(model, group, unreset=unreset)
        if late is None:
            return
        names = [context.name(model.inputs[i].name) for i in group]
        listed = enumerated(names)
        verb = "passes" if len(names) == 1 else "pass"
        effect = {"load": "the load takes", "clear": "the clear takes"}.get(
            model.inputs[group[0]].name, "it takes"
        )
        yield (
            Fault(
                f"{'+'.join(names)} = one clock late" + (", register without reset" if unreset else ""),
                f"{listed} {verb} a register first: {effect} effect one clock late"
                + ("; that register has no reset" if unreset else ""),
                f"{listed} one clock late",
                reads=(model.inputs[group[0]].name,),
            ),
            late,
        )
