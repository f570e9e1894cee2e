"""Timers without a reset: the phase of the prescaler is read off what the design did first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from verify.models.controls import position
from verify.models.family import USUAL_LATENCIES_CYCLES, Candidate
from verify.models.free_phase import counted_clocks, first_change
from verify.models.timer_model import Timer
from verify.signals import ObservedTrace, Stimulus

__all__ = ["free_timers"]

DELAYS_CYCLES = (1, 2)


def free_timers(
    meanings: Sequence[tuple[Timer, Mapping[str, Any]]],
    observed: tuple[Stimulus, ObservedTrace] | None,
) -> Iterator[Candidate]:
    """The models at the phase that was observed, or at that of registers that begin at 0.

    Where a clear (or load) puts everything in order there are also those of which nothing is known
    before. The stages begin at ``start`` in any case.
    """
    for model, facts in meanings:
        if observed is None:
            yield Candidate(model, {"first": model.ratio, **facts})
            continue
        paused = position(model.inputs, "enable") >= 0
        delays = (0, *DELAYS_CYCLES) if paused and model is meanings[0][0] else (0,)
        for delay in delays:
            late = {"tick_in_pause": "comes"} if delay else {}
            for latency in USUAL_LATENCIES_CYCLES:
                found = _found(replace(model, delay=delay), latency, *observed)
                if found is None:
                    if latency == 0:
                        yield Candidate(replace(model, delay=delay), {**late, **facts}, None, delay)
                    continue
                timer, cycle = found
                yield Candidate(timer, {"first": cycle, **late, **facts}, (latency,), -latency)
                if position(timer.inputs, "clear") >= 0 and timer.at_clear != "back":
                    # a clear that leaves the prescaler running is all that puts the stages in order
                    unset = replace(timer, power_up=(*timer.power_up[:5], 1, *timer.power_up[6:]))
                    told = {"first": cycle, **late, **facts, "before_clear": "unknown"}
                    yield Candidate(unset, told, (latency,), -latency)
    for model, facts in meanings:
        clears = position(model.inputs, "clear") >= 0 and model.at_clear == "back"
        loads = position(model.inputs, "load") >= 0 and model.at_load == "back"
        if clears or loads:
            unknown = (*model.power_up[:4], 1, 1, *model.power_up[6:])
            yield Candidate(replace(model, power_up=unknown), {**facts, "before_clear": "unknown"})


def _found(
    model: Timer, latency: int, stimulus: Stimulus, observed: ObservedTrace
) -> tuple[Timer, int] | None:
    """The model with the phase at which it was powered up, and the cycle of its first step."""
    cycle = first_change(observed, tuple(range(len(model.shown))))
    if cycle is None:
        return None
    enable, clear, load = (position(model.inputs, name) for name in ("enable", "clear", "load"))
    clocks = counted_clocks(
        stimulus,
        cycle - latency - 1 - model.delay,
        enable=-1 if model.gated else enable,
        clears=(clear if model.at_clear == "back" else -1, load if model.at_load == "back" else -1),
    )
    if clocks is None:
        return model, cycle
    phase = (model.ratio - 1 - clocks) % model.ratio
    return replace(model, power_up=(phase, *model.power_up[1:])), cycle
