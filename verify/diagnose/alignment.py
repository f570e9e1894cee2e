"""Faults in time: a latency that is not the pinned one, outputs out of step, resets misunderstood."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from verify.bench import ResolvedCheck
from verify.compare import Reading
from verify.diagnose.fault import Edit, Fault, counted
from verify.diagnose.naming import Names
from verify.diagnose.observation import Observation
from verify.models.display_static import StaticDisplay
from verify.models.golden import GoldenModel
from verify.signals import Reset

__all__ = ["alignment_edits", "moves_in_reset", "reset_edits"]

WIDEST_SKEW_CYCLES = 3
WIDEST_LATENCY_CYCLES = 16


def alignment_edits(model: GoldenModel, check: ResolvedCheck, names: Names, *, fresh: bool) -> Iterator[Edit]:
    """The edits; ``fresh``: those of the bench's pins too, which make sense only by themselves."""
    if fresh and check.latency is not None:
        yield from _latencies(model, check.latency)
    outputs = model.outputs
    if len(outputs) > 1:
        for clocks in range(1, WIDEST_SKEW_CYCLES + 1):
            for signal in outputs:
                name = names.get(signal.name, signal.name)
                fault = Fault(
                    f"{name}.skew = {clocks}",
                    f"{name} comes {counted(clocks, 'clock')} later than the other outputs",
                    f"{name} {counted(clocks, 'clock')} late",
                    signals=(signal.name,),
                )
                yield Edit((fault,), model, skew={signal.name: clocks})
                if len(outputs) > 2:
                    early = Fault(
                        f"{name}.skew = -{clocks}",
                        f"{name} comes {counted(clocks, 'clock')} earlier than the other outputs",
                        f"{name} {counted(clocks, 'clock')} early",
                        signals=(signal.name,),
                    )
                    others = {s.name: clocks for s in outputs if s.name != signal.name}
                    yield Edit((early,), model, skew=others)
    yield from _groups(model, names)


def _latencies(model: GoldenModel, pinned: int) -> Iterator[Edit]:
    """The nearest first."""
    others = sorted(set(range(WIDEST_LATENCY_CYCLES + 1)) - {pinned}, key=lambda n: abs(n - pinned))
    for clocks in others:
        text = (
            f"the outputs come {counted(clocks, 'clock')} after the inputs, not {pinned} as the bench pins it"
        )
        fault = Fault(f"latency = {clocks}", text, f"a latency of {counted(clocks, 'clock')}")
        yield Edit((fault,), model, latencies=(clocks,), unpinned=True)


def _groups(model: GoldenModel, names: Names) -> Iterator[Edit]:
    """The digits of one stage come late together."""
    if not isinstance(model, StaticDisplay) or model.panel.packed:
        return
    places = model.face.layout.places
    for stage in range(len(model.face.layout.sizes)):
        group = [f"digits[{i}]" for i, (s, _) in enumerate(places) if s == stage]
        if not 1 < len(group) < len(places):
            continue
        listed = " and ".join(names.get(g, g) for g in group)
        for clocks in range(1, WIDEST_SKEW_CYCLES + 1):
            late = counted(clocks, "clock")
            fault = Fault(
                f"{listed.replace(' and ', '+')}.skew = {clocks}",
                f"{listed} come {late} later than the other digits",
                f"{listed} {late} late",
                signals=tuple(group),
            )
            yield Edit((fault,), model, skew=dict.fromkeys(group, clocks))


def moves_in_reset(observation: Observation) -> bool:
    """An output changes while reset is held, not only at its beginning and end."""
    stimulus, observed = observation.stimulus, observation.observed
    if observed is None:
        return False
    begins = stimulus.starts[stimulus.reset == Reset.HELD]
    ends = begins + stimulus.cycles[stimulus.reset == Reset.HELD]
    changes = observed.cycles[1:]
    inside = np.searchsorted(changes, begins + 1, side="right") < np.searchsorted(changes, ends, side="left")
    return bool(inside.any())


def reset_edits(model: GoldenModel, check: ResolvedCheck, reading: Reading) -> Iterator[Edit]:
    """A reset that is ignored, or acts at another time or at the other level."""
    if check.reset is None:
        return
    port = check.reset.ref.slices[0].port
    if check.reset.kind is not None:
        other = "synchronous" if reading.kind.value == "asynchronous" else "asynchronous"
        kind = f"{'a' if other == 'synchronous' else 'an'} {other} reset"
        text = f"{port} acts as {kind}; the bench pins {check.reset.kind.value}"
        yield Edit(
            (Fault(f"reset.kind = {other}", text, f"a reset that is {other}"),), model, reset="other_kind"
        )
    level = "high" if check.reset.ref.inverted else "low"
    text = (
        f"{port} resets at the other level: the design stands in reset while it should run, "
        f"as if {port} were active {level}"
    )
    yield Edit(
        (Fault(f"reset.polarity = active {level}", text, "a reset of the other level"),),
        model,
        reset="inverted",
        whole=True,
    )
    yield from _half_edits(model, check, port)
    text = f"{port} is ignored: nothing is reset"
    yield Edit(
        (Fault("reset = ignored", text, "a design without reset"),), model, reset="ignored", whole=True
    )


def _half_edits(model: GoldenModel, check: ResolvedCheck, port: str) -> Iterator[Edit]:
    """A reset that is gated by the clock; gated the other way round it is a synchronous one."""
    if Reset.PULSED_EARLY not in check.resets:
        return
    level = "low" if check.target.edge == "rising" else "high"
    text = f"{port} acts only while {check.target.clock} is {level}: a pulse in the other half is missed"
    key, what = f"reset.acts = while the clock is {level}", f"a reset that waits for a {level} clock"
    yield Edit((Fault(key, text, what),), model, reset="second_half")
