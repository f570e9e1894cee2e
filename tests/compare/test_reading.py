"""A reading says which cycles count and how late each output comes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from verify.compare import Reading, ResetPath, expected_for, try_reading
from verify.models.catalogue import FAMILIES
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Reset, Run, Stimulus, column

SYNCHRONOUS, ASYNCHRONOUS = ResetKind.SYNCHRONOUS, ResetKind.ASYNCHRONOUS
COUNTER = FAMILIES["counter"]
(CANDIDATE, *_) = COUNTER.candidates({"count": (4,), "carry": (1,)}, {"modulo": 10}, True)


def reading(kind: ResetKind = SYNCHRONOUS, latency: int = 0, **more: object) -> Reading:
    return Reading(CANDIDATE, kind, latency, **more)  # type: ignore[arg-type]


def held(*runs: tuple[int, Reset]) -> Stimulus:
    return Stimulus.of((), [Run(cycles, (), reset) for cycles, reset in runs])


def test_a_skew_comes_on_top_of_the_latency() -> None:
    found = reading(latency=2, skew={"carry": 3, "count": -1})
    assert found.delays_cycles == (1, 5)
    assert reading(latency=2).delays_cycles == (2, 2)


@pytest.mark.parametrize(
    ("kind", "path", "first", "spans"),
    [
        (SYNCHRONOUS, ResetPath(), Reset.HELD, [[0, 1]]),  # nobody knows the state before the first edge
        (ASYNCHRONOUS, ResetPath(), Reset.HELD, []),
        (SYNCHRONOUS, ResetPath(delay_cycles=2), Reset.HELD, [[0, 3]]),  # nor before it arrives
        (SYNCHRONOUS, ResetPath(delay_cycles=2), Reset.RELEASED, []),
        (SYNCHRONOUS, ResetPath(delay_cycles=2), Reset.PULSED, []),
        (SYNCHRONOUS, ResetPath(release_cycles=2), Reset.HELD, [[0, 1]]),
    ],
)
def test_before_the_first_reset_has_acted_nothing_is_compared(
    kind: ResetKind, path: ResetPath, first: Reset, spans: list[list[int]]
) -> None:
    ranges = reading(kind, reset_path=path).uncompared(held((5, first), (9, Reset.RELEASED)), 0)
    excused = {k for begin, end in ranges.tolist() for k in range(begin, end)}
    assert excused == {k for begin, end in spans for k in range(begin, end)}


def test_a_late_reset_is_felt_late_by_model_and_mask_alike() -> None:
    path = ResetPath(delay_cycles=2)
    stimulus = held((7, Reset.RELEASED), (2, Reset.HELD), (9, Reset.RELEASED))
    late = reading(ASYNCHRONOUS, latency=1, reset_path=path)
    assert late.uncompared(stimulus, 1).tolist() == [[9, 12]]


def observed_of(found: Reading, stimulus: Stimulus, delays: tuple[int, ...]) -> ObservedTrace:
    """What a design shows that does it, one output at a time later."""
    nothing = ObservedTrace((), 0, np.zeros(0, np.int64), ())
    expected, _ = expected_for(found, stimulus, nothing)
    cycles = np.arange(stimulus.length)
    values = []
    for signal, column_, delay in zip(expected.signals, expected.values, delays, strict=True):
        rows = np.searchsorted(expected.cycles, np.maximum(cycles - delay, 0), "right") - 1
        values.append(column(column_[rows], signal.width))
    return ObservedTrace(expected.signals, stimulus.length, cycles, tuple(values))


@pytest.mark.parametrize("late", [(0, 0), (1, 1), (1, 3), (0, 2)])
@pytest.mark.parametrize("told", [(0, 0), (1, 1), (1, 3), (0, 2)])
def test_a_trial_matches_at_the_latency_and_skew_of_the_design_and_at_no_other(
    late: tuple[int, int], told: tuple[int, int]
) -> None:
    stimulus = held((2, Reset.HELD), (45, Reset.RELEASED), (6, Reset.HELD), (25, Reset.RELEASED))
    trace = observed_of(reading(ASYNCHRONOUS), stimulus, late)
    trial = try_reading(
        reading(ASYNCHRONOUS, latency=told[0], skew={"carry": told[1] - told[0]}), stimulus, trace
    )
    assert trial.difference.matches == (late == told)


def test_the_golden_state_goes_on_where_a_trial_left_it() -> None:
    stimulus = held((13, Reset.RELEASED))
    trace = observed_of(reading(), stimulus, (0, 0))
    first = try_reading(reading(), stimulus, trace)
    assert first.difference.matches
    assert not try_reading(reading(), stimulus, trace, state=first.state).difference.matches
    again = expected_for(reading(), stimulus, trace, first.state)
    assert int(again[0].values[0][0]) == 3


@pytest.mark.parametrize("clocks", [3, 7, 11])
def test_what_a_model_leaves_to_the_design_is_read_off_the_observation(clocks: int) -> None:
    shape = {"binary": (6,), "digits": (4, 4), "start": (1,), "done": (1,)}
    (candidate, *_) = FAMILIES["bcd"].candidates(shape, {}, True)
    model = candidate.model
    runs = [Run(2, (0, 0), Reset.HELD)]
    for number in (0, 9, 42, 63):
        runs += [Run(1, (number, 1)), Run(30, (5, 0))]
    assert [s.name for s in model.inputs] == ["binary", "start"]
    stimulus = Stimulus.of(model.inputs, runs)
    timed = Reading(replace(candidate, model=replace(model, clocks=clocks)), ASYNCHRONOUS, 0)  # type: ignore[type-var]
    trace, _ = expect(timed.model, stimulus, ASYNCHRONOUS)
    seen = ObservedTrace(trace.signals, trace.length, trace.cycles, trace.values)
    told = Reading(candidate, ASYNCHRONOUS, 0)
    trial = try_reading(told, stimulus, seen)
    assert trial.difference.matches
    assert [v.tolist() for v in trial.expected.values] == [v.tolist() for v in trace.values]
    wrong = (seen.values[0] ^ 1, *seen.values[1:])
    assert not try_reading(told, stimulus, replace(seen, values=wrong)).difference.matches
