"""Replays an edited model clock by clock, with nothing of what the diagnosis itself goes by."""

from __future__ import annotations

from verify.compare import uncompared_cycles
from verify.diagnose import Edit, Observation
from verify.diagnose.matching import Alignment
from verify.models.golden import FollowingModel, PlacedModel
from verify.models.playing import ResetKind
from verify.signals import Reset

LONGEST_CYCLES = 4_000


def first_wrong_cycle(edit: Edit, alignment: Alignment, observation: Observation) -> int | None:
    """The first cycle that is not as the edited model has it; None when there is none."""
    observed, stimulus, model = observation.observed, observation.stimulus, edit.model
    assert observed is not None
    assert edit.reset in {"kept", "other_kind"}
    if isinstance(model, FollowingModel):
        model = model.follow(stimulus, observed)
    delays = [alignment.latency_cycles + edit.skew.get(s.name, 0) for s in model.outputs]
    excused = set()
    masked = uncompared_cycles(
        stimulus,
        alignment.kind,
        latency_cycles=max(delays),
        settle_cycles=observation.reading.settle_cycles,
        opens_unreset=True,
    )
    for begin, end in masked.tolist():
        excused.update(range(begin, end))
    promised = promises(model, alignment.kind, observation.stimulus)
    shown = _laid_out(observation)
    for cycle in range(observed.length):
        for i, signal in enumerate(model.outputs):
            if cycle - delays[i] < 0:
                continue
            value, mask = promised[cycle - delays[i]][i]
            mask &= ~edit.unknown.get(signal.name, 0)
            seen, unknown = shown[i][cycle]
            differs = cycle not in excused and (value ^ seen) & mask
            if differs or unknown & mask:
                return cycle
    return None


def promises(model, kind, stimulus):
    """Per cycle and output the value and the bits of it that are promised."""
    state, found, cycle = model.initial(), [], 0
    keeps = getattr(model, "after_reset", lambda _: model.initial())
    runs_on = getattr(model, "after_held", lambda state, _: state)
    for run in stimulus.runs():
        for clock in range(run.cycles):
            reset = run.reset if not run.reset.pulsed or clock == 0 else Reset.RELEASED
            if isinstance(model, PlacedModel):
                state = model.placed(state, cycle)
            if (
                reset is not Reset.RELEASED
                and kind is ResetKind.ASYNCHRONOUS
                and not (reset is Reset.HELD and clock > 0)
            ):
                state = keeps(state)
                if isinstance(model, PlacedModel):
                    state = model.placed(state, cycle)
            values = model.out(state, run.values)
            masks = model.cares(state, run.values) or tuple(s.mask for s in model.outputs)
            found.append([(int(v), int(m)) for v, m in zip(values, masks, strict=True)])
            if reset is Reset.HELD:
                state = runs_on(keeps(state), run.values)
            else:
                state = model.next(state, run.values)
            cycle += 1
    return found


def _laid_out(observation):
    """Per output and cycle the value seen and its unknown bits."""
    observed = observation.observed
    unknown = observed.unknown or (None,) * len(observed.values)
    ends = [*observed.cycles.tolist()[1:], observed.length]
    found = []
    for values, unclear in zip(observed.values, unknown, strict=True):
        row = []
        bits = [0] * len(ends) if unclear is None else unclear.tolist()
        for value, bit, begin, end in zip(values.tolist(), bits, observed.cycles.tolist(), ends, strict=True):
            row += [(value, bit)] * (end - begin)
        found.append(row)
    return found
