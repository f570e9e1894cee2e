"""Machines behind a latch: what is open about it is measured, and nothing right is dropped."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from verify.models.catalogue import FAMILIES
from verify.models.family import Candidate, OptionError
from verify.models.golden import at_rest, under_way
from verify.models.latch import CHOICES
from verify.models.latched import Latched
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Reset, Run, Stimulus
from verify.stimulus import first_look
from verify.stimulus.vocabulary import Hand

RESETS = (Reset.HELD, Reset.PULSED, Reset.PULSED_EARLY)
TWO = {"stages": (2, 2), "start": (1,), "stop": (1,), "clear": (1,)}
ONE = {"stages": (2, 2), "start_stop": (1,), "clear": (1,)}
OPTIONS = {"modulo": [4, 3], "ratio": 4}


def usual(shape: dict[str, tuple[int, ...]]) -> Latched:
    model = FAMILIES["timer"].candidates(shape, OPTIONS, True)[0].model
    assert isinstance(model, Latched)
    return model


@st.composite
def latched(draw: st.DrawFn) -> Latched:
    model = usual(draw(st.sampled_from([TWO, ONE])))
    names = [*(f"{n}_{what}" for n in model.latch.watched for what in ("acts", "takes"))]
    names += ["start_and_stop", "runs_from_reset", "clear_stops", "clear_while_running", "buttons_in_reset"]
    facts = {name: draw(st.sampled_from(CHOICES[name])) for name in names}
    return replace(model, latch=replace(model.latch, **facts))


def seen(model: Latched, stimulus: Stimulus, kind: ResetKind) -> ObservedTrace:
    trace, _ = expect(model, stimulus, kind)
    return ObservedTrace(trace.signals, trace.length, trace.cycles, trace.values, None)


def anything(model: Latched, seed: int) -> Stimulus:
    rng = np.random.default_rng(seed)
    hand = Hand(model, RESETS)
    columns = [c.tolist() for c in hand.random_columns(200, rng)]
    runs = [Run(int(rng.integers(1, 9)), values) for values in zip(*columns, strict=True)]
    return Stimulus.of(model.inputs, [*hand.begin(), *runs])


@settings(max_examples=4, deadline=None)
@given(latched(), st.sampled_from(ResetKind), st.integers(0, 1 << 16))
def test_a_latch_that_explains_an_observation_is_among_those_that_are_left(
    model: Latched, kind: ResetKind, seed: int
) -> None:
    shape = ONE if "start_stop" in model.latch.watched else TWO
    look = first_look(usual(shape), resets=RESETS, seed=1).stimulus
    found: tuple[Candidate, ...] = FAMILIES["timer"].candidates(
        shape, OPTIONS, True, (look, seen(model, look, kind))
    )
    other = anything(model, seed)
    wanted, _ = expect(model, other, kind)
    traces = [expect(candidate.model, other, kind)[0] for candidate in found]
    assert any(
        np.array_equal(trace.cycles, wanted.cycles)
        and all(np.array_equal(a, b) for a, b in zip(trace.values, wanted.values, strict=True))
        for trace in traces
    )


@settings(max_examples=30, deadline=None)
@given(latched())
def test_something_happens_right_after_every_landmark_of_a_machine_that_was_started(model: Latched) -> None:
    state, resting = under_way(model), at_rest(model)
    for mark in model.landmarks():
        before = model.leap(state, resting, mark).state if mark else state
        after = model.next(before, resting)
        assert model.out(before, resting) != model.out(after, resting)


@settings(max_examples=40, deadline=None)
@given(latched(), st.sampled_from(["stop", "start_stop", "clear"]), st.integers(1, 3))
def test_a_gesture_leaves_the_machine_running(model: Latched, name: str, cycles: int) -> None:
    if name not in model.latch.watched:
        return
    hand = Hand(model, RESETS)
    control = [signal.name for signal in model.inputs].index(name)
    for runs in hand.gestures(control, cycles).values():
        state = under_way(model)
        for run in [hand.rest(10), *runs, hand.rest(10)]:
            state = model.leap(state, run.values, run.cycles).state
        assert state[0] == 1


@pytest.mark.parametrize(
    ("buttons", "key"),
    [({"stop": (1,)}, "stop"), ({"start_stop": (1,), "start": (1,)}, "start"), ({"start": (2,)}, "start")],
)
def test_buttons_that_make_no_latch_are_refused(buttons: dict[str, tuple[int, ...]], key: str) -> None:
    with pytest.raises(OptionError) as refused:
        FAMILIES["timer"].candidates({"stages": (2, 2), **buttons}, OPTIONS, True)
    assert refused.value.key == key
