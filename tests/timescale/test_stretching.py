"""What is driven at one ratio is driven at the same steps at another."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from verify.signals import Reset, Run, Signal, Stimulus
from verify.timescale.stretching import stretched

SIGNALS = (Signal("clear", 1),)

periods = st.integers(3, 9), st.integers(10, 400)


@given(*periods, st.lists(st.tuples(st.integers(0, 5), st.integers(-1, 1), st.integers(0, 1)), min_size=1))
def test_whole_periods_grow_and_what_is_left_of_them_stays(before, after, parts):
    runs = [Run(max(count * before + rest, 1), (value,)) for count, rest, value in parts]
    found = stretched(Stimulus.of(SIGNALS, runs), before, after)
    wanted = [Run(max(count * after + rest, 1), (value,)) for count, rest, value in parts]
    assert found.cycles.tolist() == Stimulus.of(SIGNALS, wanted).cycles.tolist()
    assert found.values[0].tolist() == [value for _, _, value in parts]


def test_a_clear_at_a_carry_meets_it_again():
    runs = [Run(2, (0,), Reset.HELD), Run(14_399, (0,)), Run(1, (1,)), Run(7, (0,))]
    found = stretched(Stimulus.of(SIGNALS, runs), 4, 64)
    assert found.cycles.tolist() == [2, 3_600 * 64 - 1, 1, 2 * 64 - 1]
    assert found.reset.tolist() == [Reset.HELD, Reset.RELEASED, Reset.RELEASED, Reset.RELEASED]
