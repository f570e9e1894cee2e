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
    first: int | None = None,
) -> Iterator[Candidate]:
    """The models at the phase that was observed, or at that of registers that begin at 0.

    ``first``: where the first step is pinned. It counts clocks in which the prescaler runs, so that it
    holds for every stimulus. Where a clear (or load) puts everything in order there are also those of
    which nothing is known before. The stages begin at ``start`` in any case.
    """
    for model, facts in meanings:
        if observed is None:
            yield Candidate(model, {"first": model.ratio if first is None else first, **facts})
            continue
        paused = position(model.inputs, "enable") >= 0
        delays = (0, *DELAYS_CYCLES) if paused and model is meanings[0][0] else (0,)
        for delay in delays:
            late = {"tick_in_pause": "comes"} if delay else {}
            delayed = replace(model, delay=delay)
            for latency in USUAL_LATENCIES_CYCLES:
                cycle = first_change(observed[1], tuple(range(len(model.shown))))
                if cycle is None and first is None:
                    if latency == 0:
                        yield Candidate(delayed, {**late, **facts}, None, delay)
                    continue
                behind = latency + delay
                step = first if first is not None else _first_step(delayed, cycle or 0, latency, observed[0])
                told = {**({} if step is None else {"first": step}), **late, **facts}
                timer = delayed if step is None else _stepping_first(delayed, step - behind)
                yield Candidate(timer, told, (latency,), -latency)
                if position(timer.inputs, "clear") >= 0 and timer.at_clear != "back":
                    # a clear that leaves the prescaler running is all that puts the stages in order
                    unset = replace(timer, power_up=(*timer.power_up[:5], 1, *timer.power_up[6:]))
                    yield Candidate(unset, {**told, "before_clear": "unknown"}, (latency,), -latency)
    for model, facts in meanings:
        clears = position(model.inputs, "clear") >= 0 and model.at_clear == "back"
        loads = position(model.inputs, "load") >= 0 and model.at_load == "back"
        if clears or loads:
            unknown = (*model.power_up[:4], 1, 1, *model.power_up[6:])
            yield Candidate(replace(model, power_up=unknown), {**facts, "before_clear": "unknown"})


def _first_step(model: Timer, cycle: int, latency: int, stimulus: Stimulus) -> int | None:
    """Clocks to the first step if the prescaler never stood still; None: it was put back before ``cycle``."""
    enable, clear, load = (position(model.inputs, name) for name in ("enable", "clear", "load"))
    clocks = counted_clocks(
        stimulus,
        cycle - latency - 1 - model.delay,
        enable=-1 if model.gated else enable,
        clears=(clear if model.at_clear == "back" else -1, load if model.at_load == "back" else -1),
    )
    return None if clocks is None else clocks % model.ratio + 1 + latency + model.delay


def _stepping_first(model: Timer, clocks: int) -> Timer:
    """The model powered up so many clocks before the prescaler is through."""
    return replace(model, power_up=((model.ratio - clocks) % model.ratio, *model.power_up[1:]))
