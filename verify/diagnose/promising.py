"""What an edited model does under the stimulus of an observation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from verify.diagnose.bent.outputs import OutputsRewired
from verify.diagnose.deadline import Deadline, timed
from verify.diagnose.fault import Edit
from verify.diagnose.kinds import follows
from verify.diagnose.observation import Observation
from verify.models.golden import State, at_rest
from verify.models.playing import ResetKind, expect
from verify.signals import ExpectedTrace, Reset, Run, Stimulus

__all__ = ["as_reset", "flushed", "promised", "promised_from"]


def promised(edit: Edit, kind: ResetKind, observation: Observation, deadline: Deadline) -> ExpectedTrace:
    """The trace, not delayed. Raises OutOfTime, and TooLong for a model that is slow to play."""
    shared = _shared(edit, kind, observation, deadline)
    if shared is not None:
        return shared
    state = None
    if edit.whole and observation.flushed_cycles:
        state = flushed(edit, kind, observation.flushed_cycles, deadline)
    return promised_from(edit, kind, observation, state, deadline)[0]


def _shared(
    edit: Edit, kind: ResetKind, observation: Observation, deadline: Deadline
) -> ExpectedTrace | None:
    """The trace of the golden model, with its wires changed, when the edit does no more than that."""
    golden = observation.reading
    if kind is not golden.kind or edit.reset not in {"kept", "other_kind"} or edit.whole:
        return None
    if edit.model is golden.model:
        return observation.expected(deadline)
    if isinstance(edit.model, OutputsRewired) and edit.model.inner is golden.model:
        trace = observation.expected(deadline)
        return replace(
            trace,
            values=edit.model.columns(trace.values),
            cares=edit.model.care_columns(trace.cares, len(trace.cycles)),
        )
    return None


def promised_from(
    edit: Edit, kind: ResetKind, observation: Observation, state: State | None, deadline: Deadline
) -> tuple[ExpectedTrace, State]:
    """The trace and the state after it; ``state``: that before the first cycle, None: as after reset."""
    stimulus, model = as_reset(edit.reset, observation.stimulus), edit.model
    if follows(model) and observation.observed is not None:
        model = model.follow(stimulus, observation.observed)
    return expect(timed(model, deadline), stimulus, kind, state)


def flushed(edit: Edit, kind: ResetKind, cycles: int, deadline: Deadline) -> State:
    """The state after the reset has been held for so long from power-up."""
    model = edit.model
    values = at_rest(model)
    stimulus = Stimulus.of(model.inputs, [Run(cycles, values, Reset.HELD)])
    return expect(timed(model, deadline), as_reset(edit.reset, stimulus), kind)[1]


def as_reset(reset: str, stimulus: Stimulus) -> Stimulus:
    """What the faulty design makes of the reset."""
    if reset == "second_half":
        missed = stimulus.reset == Reset.PULSED_EARLY
        return replace(stimulus, reset=np.where(missed, Reset.RELEASED, stimulus.reset).astype(np.uint8))
    if reset not in {"inverted", "ignored"}:
        return stimulus
    seen = np.full(len(stimulus), Reset.RELEASED, np.uint8)
    if reset == "inverted":
        seen = np.where(stimulus.reset == Reset.HELD, Reset.RELEASED, Reset.HELD).astype(np.uint8)
    return replace(stimulus, reset=seen)
