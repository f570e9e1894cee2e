"""Properties of the exposure timer in the designer's own words, beside the checks of its bench.

pytest rtl_examples/exposure_timer
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

quick = settings(max_examples=25, deadline=None)


@pytest.fixture(scope="module")
def converter(simulate):
    return simulate("bench.toml", check="converter")


@pytest.fixture(scope="module")
def clock(simulate):
    return simulate("bench.toml", check="clock")


@quick
@given(number=st.integers(0, 99), before=st.integers(0, 99))
def test_the_digits_spell_the_number_whatever_came_before(converter, number, before):
    trace = converter.play(binary=[before] + 5 * [number])
    digits = trace["bcd"][1 + converter.latency]
    assert f"{digits:02x}" == f"{number:02}"


@quick
@given(seconds=st.integers(0, 200), more=st.integers(0, 3))
def test_the_clock_shows_the_seconds_that_have_passed(clock, seconds, more):
    second = clock.options["ratio"]  # clock cycles, at the speed-up of the simulation
    shown = clock.play([clock.hold(seconds * second + 2 + more)]).at(-1)
    assert (shown["minutes"], shown["seconds"]) == divmod(seconds, 60)


@quick
@given(st.data())
def test_the_clock_follows_the_golden_model_through_any_resets(clock, data):
    clock.assert_matches(data.draw(clock.stimuli()))


def test_a_reset_in_the_last_second_of_an_hour_clears_everything(clock):
    hour = 3600 * clock.options["ratio"]
    trace = clock.play([clock.hold(hour - 1), clock.reset(), clock.hold(2)])
    assert trace.at(hour - 2) == {"seconds": 59, "minutes": 59, "hours": 0}
    assert trace.at(-1) == {"seconds": 0, "minutes": 0, "hours": 0}
