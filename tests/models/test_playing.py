"""What playing a golden model makes of resets, runs and changes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.models.catalogue import FAMILIES
from verify.models.golden import GoldenModel, Leap, State, Values
from verify.models.playing import ResetKind, expect
from verify.models.walking import rows
from verify.signals import ExpectedTrace, Reset, Run, Signal, Stimulus

BOTH = pytest.mark.parametrize("kind", list(ResetKind))
SYNCHRONOUS, ASYNCHRONOUS = ResetKind.SYNCHRONOUS, ResetKind.ASYNCHRONOUS


def counter(**options) -> GoldenModel:
    return (
        FAMILIES["counter"]
        .candidates({"count": (4,), "enable": (1,)}, {"start": 5, **options}, True)[0]
        .model
    )


def by_cycle(trace: ExpectedTrace, index: int = 0) -> list[int]:
    ends = [*trace.cycles.tolist()[1:], trace.length]
    values = trace.values[index].tolist()
    return [v for v, a, b in zip(values, trace.cycles.tolist(), ends, strict=True) for _ in range(b - a)]


def played(model: GoldenModel, runs: list[Run], kind: ResetKind) -> list[int]:
    return by_cycle(expect(model, Stimulus.of(model.inputs, runs), kind)[0])


@BOTH
def test_the_first_cycle_shows_the_state_after_reset(kind):
    assert played(counter(), [Run(4, (1,))], kind) == [5, 6, 7, 8]


def test_an_asynchronous_reset_shows_in_the_cycle_in_which_it_is_asserted():
    runs = [Run(3, (1,)), Run(2, (1,), Reset.HELD), Run(2, (1,))]
    assert played(counter(), runs, ASYNCHRONOUS) == [5, 6, 7, 5, 5, 5, 6]


def test_a_synchronous_reset_shows_from_the_next_cycle_on():
    runs = [Run(3, (1,)), Run(2, (1,), Reset.HELD), Run(2, (1,))]
    assert played(counter(), runs, SYNCHRONOUS) == [5, 6, 7, 8, 5, 5, 6]


def test_a_pulse_between_edges_is_seen_by_an_asynchronous_reset_only():
    runs = [Run(3, (1,)), Run(3, (1,), Reset.PULSED)]
    assert played(counter(), runs, ASYNCHRONOUS) == [5, 6, 7, 5, 6, 7]
    assert played(counter(), runs, SYNCHRONOUS) == [5, 6, 7, 8, 9, 10]


@BOTH
def test_reset_wins_over_every_input(kind):
    runs = [Run(3, (1,)), Run(1, (0,), Reset.HELD), Run(1, (0,)), Run(2, (1,))]
    assert played(counter(), runs, kind)[4:] == [5, 5, 6]


@BOTH
def test_a_stimulus_may_be_played_in_two_halves(kind):
    model = counter()
    first = [Run(3, (1,)), Run(1, (0,), Reset.HELD), Run(4, (1,))]
    second = [Run(2, (0,)), Run(2, (1,), Reset.PULSED), Run(9, (1,))]
    trace, state = expect(model, Stimulus.of(model.inputs, first), kind)
    rest, _ = expect(model, Stimulus.of(model.inputs, second), kind, state)
    assert by_cycle(trace) + by_cycle(rest) == played(model, first + second, kind)


@given(
    st.lists(st.tuples(st.integers(1, 6), st.integers(0, 1), st.sampled_from(Reset)), min_size=1, max_size=9)
)
def test_no_row_repeats_the_one_before(drawn):
    model = counter()
    runs = [Run(cycles, (enable,), reset) for cycles, enable, reset in drawn]
    trace, _ = expect(model, Stimulus.of(model.inputs, runs), ASYNCHRONOUS)
    values = trace.values[0].tolist()
    assert trace.cycles[0] == 0
    assert all(a != b for a, b in pairwise(values))


def test_nothing_played_is_an_empty_trace():
    trace, state = expect(counter(), Stimulus.of(counter().inputs, []), SYNCHRONOUS)
    assert (trace.length, len(trace.cycles), state) == (0, 0, counter().initial())


def test_a_long_run_costs_its_changes_not_its_cycles():
    model = FAMILIES["timer"].candidates({"seconds": (6,)}, {"ratio": 50_000_000}, True)[0].model
    trace, _ = expect(model, Stimulus.of((), [Run(61 * 50_000_000)]), SYNCHRONOUS)
    assert trace.length == 3_050_000_000
    assert len(trace.cycles) == 61
    assert trace.values[0].tolist() == [*range(60), 0]


def test_values_wider_than_a_machine_word_stay_exact():
    shape = {"count": (90,), "load": (1,), "load_value": (90,)}
    model = FAMILIES["counter"].candidates(shape, {}, True)[0].model
    top = (1 << 90) - 2
    assert played(model, [Run(1, (1, top)), Run(4, (0, 0))], SYNCHRONOUS) == [0, top, top + 1, 0, 1]


def test_a_table_is_evaluated_run_by_run():
    model = FAMILIES["bcd"].candidates({"binary": (4,), "bcd": (8,)}, {}, True)[0].model
    runs = [Run(3, (9,)), Run(1, (10,), Reset.HELD), Run(2, (15,), Reset.PULSED)]
    for kind in ResetKind:
        assert played(model, runs, kind) == [0x09] * 3 + [0x10] + [0x15] * 2


def test_a_stimulus_over_other_signals_is_refused():
    with pytest.raises(ValueError, match="model wants"):
        expect(counter(), Stimulus.of((Signal("enable", 2),), [Run(1, (1,))]), SYNCHRONOUS)


@dataclass(frozen=True)
class Doubtful:
    """A toggle whose output is promised in every other state only."""

    inputs: tuple[Signal, ...] = ()
    outputs: tuple[Signal, ...] = (Signal("count", 2),)

    def initial(self) -> State:
        return (0,)

    def out(self, state: State, inputs: Values) -> Values:
        return state

    def cares(self, state: State, inputs: Values) -> Values | None:
        return (0,) if state[0] % 2 else None

    def next(self, state: State, inputs: Values) -> State:
        return ((state[0] + 1) % 4,)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        states = [((state[0] + i) % 4,) for i in range(cycles + 1)]
        cares = [self.cares(s, ()) for s in states[:-1]]
        return rows(self.outputs, states[-1], list(range(cycles)), states[:-1], cares)


def test_what_is_not_promised_is_marked_and_all_the_rest_is():
    trace, _ = expect(Doubtful(), Stimulus.of((), [Run(1), Run(3), Run(2, (), Reset.HELD)]), ASYNCHRONOUS)
    assert trace.cares is not None
    assert trace.cycles.tolist() == [0, 1, 2, 3, 4]
    assert trace.cares[0].tolist() == [3, 0, 3, 0, 3]


def test_a_trace_in_which_all_is_promised_carries_no_masks():
    trace, _ = expect(Doubtful(), Stimulus.of((), [Run(1)]), ASYNCHRONOUS)
    assert trace.cares is None
