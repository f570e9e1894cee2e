"""An observation compared window by window says what it says as a whole."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.compare import Reading, Stream, cut_observed, cut_stimulus, delayed, streaming, try_reading
from verify.models.catalogue import FAMILIES
from verify.models.playing import ResetKind, expect
from verify.signals import Column, ExpectedTrace, ObservedTrace, Reset, Run, Stimulus, column

LATENCIES = range(4)
CANDIDATES = {
    "counter": FAMILIES["counter"].candidates({"count": (3,), "enable": (1,)}, {"modulo": 6}, True),
    "display": FAMILIES["display"].candidates(
        {"digits": (7, 7)}, {"ratio": 3, "modulo": [60], "active": "low"}, True
    )[:3],
}


@st.composite
def observations(draw: st.DrawFn) -> tuple[Stimulus, list[Reading], ObservedTrace, list[int]]:
    """What a design with one of the readings does, here and there something else, and where to cut it."""
    candidates = CANDIDATES[draw(st.sampled_from(sorted(CANDIDATES)))]
    model = candidates[0].model
    rows = draw(
        st.lists(
            st.tuples(st.integers(1, 12), st.sampled_from(Reset), st.integers(0, 1)), min_size=1, max_size=8
        )
    )
    runs = [Run(n, (value,) * len(model.inputs), reset) for n, reset, value in rows]
    stimulus = Stimulus.of(model.inputs, [Run(2, (1,) * len(model.inputs), Reset.HELD), *runs])
    readings = [Reading(c, kind, latency) for c in candidates for kind in ResetKind for latency in LATENCIES]
    chosen = draw(st.sampled_from(readings))
    trace, _ = expect(chosen.model, stimulus, chosen.kind)
    late = delayed(trace, chosen.delays_cycles)
    cycles = np.arange(stimulus.length)
    at = np.searchsorted(late.cycles, cycles, side="right") - 1
    values, unknown = [], []
    for i, signal in enumerate(late.signals):
        dense = late.values[i][at].copy()
        strange = np.zeros_like(dense)
        flips = st.dictionaries(st.integers(0, stimulus.length - 1), st.booleans(), max_size=2)
        for cycle, is_unknown in draw(flips).items():
            dense[cycle] ^= 1
            strange[cycle] = int(is_unknown)
        values.append(column(dense, signal.width))
        unknown.append(column(strange, signal.width))
    observed = ObservedTrace(late.signals, stimulus.length, cycles, tuple(values), tuple(unknown))
    cuts = draw(st.sets(st.integers(1, stimulus.length - 1), max_size=5))
    return stimulus, readings, observed, [0, *sorted(cuts), stimulus.length]


def at(trace: ExpectedTrace | ObservedTrace, values: Column, cycle: int) -> int:
    return int(values[np.searchsorted(trace.cycles, cycle, side="right") - 1])


@given(observations(), st.sampled_from([0, 1, 5, streaming.KEPT_CYCLES]))
def test_windows_tell_the_same_first_difference_as_the_whole(drawn, kept) -> None:
    stimulus, readings, observed, cuts = drawn
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(streaming, "KEPT_CYCLES", kept)
        stream = Stream(readings, stimulus, {})
    found: dict[int, int] = {}
    for begin, end in itertools.pairwise(cuts):
        for trial in stream.add(cut_observed(observed, begin, end - 1)).trials:
            if trial.difference.first is not None:
                found[id(trial.reading)] = trial.difference.first
    wholes = [try_reading(r, stimulus, observed) for r in readings]
    assert [found.get(id(t.reading)) for t in wholes] == [t.difference.first for t in wholes]
    assert stream.alive == [t.reading for t in wholes if t.difference.matches]


@given(observations(), st.sampled_from([0, 3, streaming.KEPT_CYCLES]))
def test_the_cycles_before_a_late_difference_can_be_looked_at(drawn, kept) -> None:
    stimulus, readings, observed, cuts = drawn
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(streaming, "KEPT_CYCLES", kept)
        stream = Stream(readings, stimulus, {})
    for begin, end in itertools.pairwise(cuts):
        step = stream.add(cut_observed(observed, begin, end - 1))
        for trial in step.trials:
            whole, played, seen = stream.whole(trial)
            assert (played.length, seen.length, whole.expected.length) == (end, end, end)
            golden, _ = expect(trial.reading.model, stimulus, trial.reading.kind)
            for cycle in range(max(end - kept - 1, 0), end):
                for values, shown in zip(golden.values, whole.expected.values, strict=True):
                    assert at(whole.expected, shown, cycle) == at(golden, values, cycle)
                for values, shown in zip(observed.values, seen.values, strict=True):
                    assert at(seen, shown, cycle) == at(observed, values, cycle)


@pytest.mark.parametrize("first", [0, 1])
def test_a_pulse_is_cut_off_with_the_first_cycle_of_its_run(first: int) -> None:
    pulse = Stimulus.of((), [Run(5, (), Reset.PULSED)])
    piece = cut_stimulus(pulse, first, 3)
    assert piece.reset.tolist() == [Reset.PULSED if first == 0 else Reset.RELEASED]
    assert piece.cycles.tolist() == [4 - first]
