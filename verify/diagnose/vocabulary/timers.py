"""Faults of timers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import prod

from verify.diagnose.bent.pausing import LosingPause, StickyDone
from verify.diagnose.bent.timer import bent_timer
from verify.diagnose.fault import Fault, counted, staged
from verify.diagnose.vocabulary.chains import stage_bends
from verify.diagnose.vocabulary.context import Context, distinct
from verify.diagnose.vocabulary.dividers import after_first, ratio_fault, ratios
from verify.diagnose.vocabulary.flags import held_flags
from verify.models.controls import position
from verify.models.golden import GoldenModel
from verify.models.timer_model import Prescaler, Timer

__all__ = ["timer_edits"]

Edits = Iterator[tuple[Fault, GoldenModel]]

PRESCALERS: tuple[Prescaler, ...] = ("runs", "back", "waits")

USUAL = ("seconds", "minutes", "hours")

TICKS = {
    "before": "in the last clock before a step",
    "with": "in the first clock after a step",
    "always_before": "in the last clock before a step, in a pause too",
    "always_with": "in the first clock after a step, in a pause too",
}
DONES = {
    "level": "is high whenever the end is shown",
    "reached": "stays high from reaching the end to the next reset, clear or load",
    "after": "is high for one clock after getting to the end",
    "at_step": "is high in the last clock before the wrap",
}


def timer_edits(model: Timer, context: Context) -> Edits:
    """Other moduli and ratios, the controls' effect on the prescaler, and stages that misbehave."""
    names = stage_names(model, context)
    yield from _moduli(model, context, names)
    yield from _ratios(model, context, names)
    yield from _prescaler(model, context)
    yield from _places(model, context)
    yield from _ends(model, context)
    yield from _bends(model, context, names)


def stage_names(model: Timer, context: Context) -> list[str]:
    """What the stages are called: by their port where they have one."""
    named = any(s.name in USUAL for s in model.outputs)
    names = [USUAL[i] if named and i < len(USUAL) else f"stage {i}" for i in range(len(model.chain.moduli))]
    for at, stage in enumerate(model.shown):
        names[stage] = context.name(model.outputs[at].name)
    return names


def _output(model: Timer, stage: int) -> int | None:
    return model.shown.index(stage) if stage in model.shown else None


def _moduli(model: Timer, context: Context, names: list[str]) -> Edits:
    moduli = model.chain.moduli
    for stage, modulo in enumerate(moduli):
        at = _output(model, stage)
        most = 1 << 32 if at is None or context.hidden else model.outputs[at].mask + 1
        seen: list[int] = []
        if at is not None:
            steps = context.evidence.steps(at)
            seen = [top + 1 for top in context.evidence.tops(at)]
            seen += [b + 1 for (a, b), _ in steps.most_common() if a == 0 and b > 1][:3]
        natural = 1 << (modulo - 1).bit_length()
        tens = [modulo + 10, modulo - 10] if modulo % 10 == 0 else []
        likely = [modulo + 1, modulo - 1, *seen, natural, *tens, most if most <= 1 << 16 else None]
        for other in distinct(likely, without=(modulo,), low=2, high=most):
            changed = (*moduli[:stage], other, *moduli[stage + 1 :])
            begin = list(model.power_up)
            if begin[6 + stage] == modulo - 1 and model.chain.down:
                yield (
                    _modulo_fault(names[stage], other, modulo, model, at),
                    _with_moduli(model, changed, begin),
                )
                begin[6 + stage] = other - 1
            if begin[6 + stage] >= other or model.cleared[stage] >= other:
                continue
            yield _modulo_fault(names[stage], other, modulo, model, at), _with_moduli(model, changed, begin)


def _with_moduli(model: Timer, moduli: tuple[int, ...], power_up: list[int]) -> Timer:
    stages = tuple(min(v, m - 1) for v, m in zip(power_up[6:], moduli, strict=True))
    cleared = tuple(min(v, m - 1) for v, m in zip(model.cleared, moduli, strict=True))
    chain = replace(model.chain, moduli=moduli)
    return replace(model, chain=chain, cleared=cleared, power_up=(*power_up[:6], *stages))


def _modulo_fault(name: str, other: int, modulo: int, model: Timer, at: int | None) -> Fault:
    text = f"{name} runs 0 to {other - 1} instead of 0 to {modulo - 1}"
    if model.chain.down:
        text = f"after 0 {name} goes on at {other - 1} instead of {modulo - 1}"
    elif other == modulo + 1:
        text = f"{name} runs 0 to {other - 1}: it rolls over one count late"
    elif other == modulo - 1:
        text = f"{name} runs 0 to {other - 1}: it rolls over one count early"
    elif other & other - 1 == 0 and other > modulo:
        bits = counted(other.bit_length() - 1, "bit")
        text = f"{name} runs 0 to {other - 1}: nothing turns it back before its {bits} run over"
    constants = ((other - 1, modulo - 1), (other, modulo), (other, modulo - 1), (other - 1, modulo))
    shown = () if at is None else (model.outputs[at].name,)
    return Fault(f"{name}.modulo = {other}", text, f"{staged(name)} with modulo {other}", 1, constants, shown)


def _ratios(model: Timer, context: Context, names: list[str]) -> Edits:
    first = _output(model, 0)
    tick = position(model.outputs, "tick")
    seen = context.evidence.gaps(first) if first is not None else []
    if tick >= 0:
        seen += context.evidence.gaps(tick, rising=True)
    for ratio in ratios(model.ratio, seen):
        fault = ratio_fault(names[0], ratio, model.ratio, "step")
        fault = replace(fault, text=fault.text.replace("a step of", "one step of", 1))
        yield fault, _at_ratio(model, ratio)
        lead = model.lead + model.ratio - ratio
        yield after_first(fault, model.ratio), replace(model, ratio=ratio, lead=lead)


def _at_ratio(model: Timer, ratio: int) -> Timer:
    """A first period that is cut short keeps its part of a whole one."""
    phase, *rest = model.power_up or (0,)
    if phase > 1 or phase >= ratio:
        phase = phase * ratio // model.ratio
    return replace(model, ratio=ratio, power_up=(phase, *rest) if model.power_up else ())


def _prescaler(model: Timer, context: Context) -> Edits:
    """What a pause, a clear and a load do to the clocks counted so far."""
    enable, clear, load = (position(model.inputs, n) for n in ("enable", "clear", "load"))
    yield from _unreset_prescaler(model)
    if enable >= 0:
        yield _other_pause(model, context)
        yield from _losing_pause(model, context)
        if not model.gated and model.ratio > 1:
            run = context.name("enable")
            text = (
                f"the prescaler ticks in its last state whether {run} is active or not: in a pause that "
                "begins there the stages step with every clock"
            )
            fault = Fault(f"{run} = not at the tick", text, f"a tick that ignores {run}")
            yield fault, bent_timer(model, heedless=True)
    if clear >= 0:
        for what in PRESCALERS:
            if what != model.at_clear:
                yield _prescaler_fault("clear", what, context), replace(model, at_clear=what)
    if clear >= 0 and model.tick == "before":
        fault = _prescaler_fault("clear", "waits", context)
        shown = replace(
            fault, key=f"{fault.key}, tick shown", text=f"{fault.text}; a tick of that clock is shown"
        )
        yield shown, bent_timer(model, at_clear="waits", shows_held=True)
    if load >= 0:
        for what in PRESCALERS:
            if what != model.at_load:
                yield _prescaler_fault("load", what, context), replace(model, at_load=what)


def _unreset_prescaler(model: Timer) -> Edits:
    """What was counted of a step is still there after a reset."""
    if model.ratio < 2:
        return
    text = "reset leaves the prescaler as it is: the part of a step that was counted stays"
    claim = "a prescaler without reset"
    yield Fault("prescaler.reset = missing", text, claim), bent_timer(model, in_reset="stands")
    if model.lead == 0:
        fault = Fault("prescaler.reset = missing, runs", f"{text}, and it runs on meanwhile", claim)
        yield fault, bent_timer(model, in_reset="runs")


def _prescaler_fault(word: str, what: Prescaler, context: Context) -> Fault:
    port = context.name(word)
    text = {
        "back": f"{port} empties the prescaler too: the part of a step that was counted is lost",
        "runs": f"{port} leaves the prescaler as it is: the part of a step that was counted stays",
        "waits": f"{port} holds the prescaler: what was counted of a step stays, and no clock is added",
    }[what]
    claim = {"back": "empties", "runs": "leaves alone", "waits": "holds"}[what]
    cost = 2 if what == "waits" else 1
    return Fault(f"{port}.prescaler = {what}", text, f"a {word} that {claim} the prescaler", cost)


def _other_pause(model: Timer, context: Context) -> tuple[Fault, GoldenModel]:
    run = context.name("enable")
    other = replace(model, gated=not model.gated)
    if model.gated:
        text = f"{run} stops the prescaler; in a pause that should run on, and its ticks be lost"
        return Fault("pause = freeze", text, "a pause that freezes"), other
    text = f"{run} does not stop the prescaler: in a pause that runs on, and its ticks are lost"
    return Fault("pause = gate", text, "a pause that gates"), other


def _places(model: Timer, context: Context) -> Edits:
    """Where reset and clear put the stages."""
    proper = tuple(model.power_up[6:])
    clears = position(model.inputs, "clear") >= 0
    if clears:
        for stages in [s for s in (*_starts(model, context), proper) if s != model.cleared]:
            shown, right = _shown(model, stages), _shown(model, model.cleared)
            text = f"{context.name('clear')} puts the stages to {shown} (fastest first) instead of {right}"
            yield Fault(f"cleared = {shown}", text, f"a clear to {shown}"), replace(model, cleared=stages)
    for stages in _starts(model, context):
        shown, right = _shown(model, stages), _shown(model, proper)
        power_up = (*model.power_up[:6], *stages)
        text = f"puts the stages to {shown} (fastest first) instead of {right}"
        claim = f"a start of {shown}"
        yield Fault(f"start = {shown}", f"reset {text}", claim), replace(model, power_up=power_up)
        if clears:
            both = f"reset and {context.name('clear')} {text.replace('puts', 'put', 1)}"
            fault = Fault(f"start = {shown}, clear too", both, claim)
            yield fault, replace(model, power_up=power_up, cleared=stages)


def _shown(model: Timer, stages: Sequence[int]) -> list[int]:
    return [stages[i] for i in model.shown]


def _losing_pause(model: Timer, context: Context) -> Edits:
    """The prescaler starts again after a pause, while the stages keep what they have."""
    run = context.name("enable")
    text = f"when {run} pauses it, the part of a step that was counted is thrown away"
    fault = Fault(f"pause = {run} empties the prescaler", text, "a prescaler that starts again after a pause")
    yield fault, LosingPause(model)


def _starts(model: Timer, context: Context) -> list[tuple[int, ...]]:
    """The values that the stages were first seen with, and zeros."""
    found: list[tuple[int, ...]] = []
    proper = model.power_up[6:]
    for trace in context.evidence.traces:
        for row in range(min(2, len(trace.cycles))):
            stages = list(proper)
            for at, stage in enumerate(model.shown):
                stages[stage] = int(trace.values[at][row])
            found.append(tuple(stages))
    found.append((0,) * len(proper))
    fits = [s for s in dict.fromkeys(found) if all(v < m for v, m in zip(s, model.chain.moduli, strict=True))]
    return [s for s in fits if s != tuple(proper)][:4]


def _cuts(model: Timer) -> Edits:
    """A chain that wraps before all its digits are full, such as 24 hours, wraps elsewhere."""
    chain = model.chain
    weights = [prod(chain.moduli[:i]) for i in range(len(chain.moduli))]
    step = max(w for w in weights if chain.cut % w == 0)
    for cut in (chain.cut + step, chain.cut - step, 0):
        other = replace(chain, cut=cut)
        last, proper = (".".join(map(str, c.highest[::-1])) for c in (other, chain))
        text = f"the last state, slowest digit first, is {last} instead of {proper}"
        yield (
            Fault(f"states = {other.states}", text, f"a last state of {last}"),
            replace(model, chain=other),
        )


def _ends(model: Timer, context: Context) -> Edits:
    chain = model.chain
    if chain.cut:
        yield from _cuts(model)
    end = "0" if chain.down else "the last state"
    text = (
        f"nothing stops the timer at {end}: it wraps"
        if chain.stops
        else f"the timer stops at {end} instead of wrapping"
    )
    yield (
        Fault(
            f"at_end = {'wrap' if chain.stops else 'stop'}",
            text,
            "a timer that wraps" if chain.stops else "a timer that stops",
        ),
        replace(
            model,
            chain=replace(chain, stops=not chain.stops),
            stands=False,
            done="after" if model.done == "at_step" else model.done,
        ),
    )
    yield from _run_over(model, context)
    way = "up" if chain.down else "down"
    yield (
        Fault(f"direction = {way}", f"the timer counts {way}", f"counting {way}"),
        replace(model, chain=replace(chain, down=not chain.down)),
    )
    if model.done is not None:
        port = context.name("done")
        for kind in ("level", "reached", "after", "at_step"):
            if kind != model.done and not (kind == "at_step" and chain.stops):
                yield (
                    Fault(
                        f"{port} = {kind}",
                        f"{port} {DONES[kind]}",
                        f"a done that {DONES[kind]}",
                        signals=("done",),
                    ),
                    replace(model, done=kind),
                )
        yield (
            Fault(
                f"{port} = sticky",
                f"once the end was reached, {port} stays high until reset: no clear or load takes it back",
                "a done that only a reset takes back",
                signals=("done",),
            ),
            StickyDone(model),
        )
    if model.tick is not None:
        port = context.name("tick")
        for kind, when in TICKS.items():
            if kind != model.tick and (model.gated or not kind.startswith("always")):
                yield (
                    Fault(f"{port} = {kind}", f"{port} is high {when}", f"a tick {when}", signals=("tick",)),
                    replace(model, tick=kind),  # type: ignore[arg-type]
                )
    yield from held_flags(model, context, ("tick", "done"))


def _run_over(model: Timer, context: Context) -> Edits:
    """Past an end at which nothing stops it, the slowest stage uses all of its bits."""
    chain, top = model.chain, len(model.chain.moduli) - 1
    at = _output(model, top)
    if not (chain.down and chain.stops) or at is None or context.hidden:
        return
    most = model.outputs[at].mask + 1
    if most > chain.moduli[top]:
        name = context.name(model.outputs[at].name)
        wraps = _with_moduli(model, (*chain.moduli[:top], most), list(model.power_up))
        edited = replace(wraps, chain=replace(wraps.chain, stops=False), stands=False)
        bits = counted(model.outputs[at].width, "bit")
        text = f"nothing stops the timer at 0: it goes on, {name} at {most - 1}: its {bits} run over"
        shown = (model.outputs[at].name,)
        claim = "a timer that runs past its end"
        yield Fault(f"at_end = wrap, {name} to {most - 1}", text, claim, 1, (), shown), edited


def _bends(model: Timer, context: Context, names: list[str]) -> Edits:
    bent = bent_timer(model)
    controls = {c: context.name(c) for c in ("enable", "clear", "load") if position(model.inputs, c) >= 0}
    controls["reset"] = "reset"
    signals = []
    for stage in range(len(names)):
        at = _output(model, stage)
        signals.append("" if at is None else model.outputs[at].name)
    for fault, bends in stage_bends(
        bent.bends,
        model.chain.moduli,
        names,
        signals,
        controls=controls,
        down=model.chain.down,
        seen_carries=_seen_carries(model, context),
        seen_wraps=[_seen_wraps(model, context, stage) for stage in range(len(names))],
        prescaled=True,
    ):
        yield fault, replace(bent, bends=bends)


def _seen_wraps(model: Timer, context: Context, stage: int) -> list[int]:
    at = _output(model, stage)
    if at is None:
        return []
    last = 0 if model.chain.down else model.chain.moduli[stage] - 1
    return [b for (a, b), _ in context.evidence.steps(at).most_common() if a == last][:4]


def _seen_carries(model: Timer, context: Context) -> list[list[int]]:
    """Per stage its value before the next one changed."""
    found: list[list[int]] = [[] for _ in model.chain.moduli]
    for stage in range(len(found) - 1):
        here, there = _output(model, stage), _output(model, stage + 1)
        if here is not None and there is not None:
            found[stage] = context.evidence.before_change(there, here)
    return found
