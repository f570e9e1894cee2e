"""The value change dump, read back with another library than the one that writes it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vcdvcd import VCDVCD

from tests.report.specimens import excerpt, failing, outcome, passing, undecided
from verify.report.waves import as_vcd, dumps
from verify.signals import Reset

PERIOD_NS = 100_083.333 / 1201


def read(check):
    return VCDVCD(vcd_string=as_vcd(check))


def at(waves, name, cycle, share=0.25):
    """The value of a signal in a cycle of the stimulus."""
    return waves[name][round((cycle + share) * PERIOD_NS * 1000)]


@pytest.fixture(scope="module")
def waves():
    return read(failing())


def test_the_design_and_what_was_expected_stand_side_by_side(waves):
    assert at(waves, "exposure_clock.sec_tens", 1200) == "0100"
    assert at(waves, "golden.sec_tens", 1200) == "0101"
    assert at(waves, "exposure_clock.sec_tens", 1201) == at(waves, "golden.sec_tens", 1201) == "0101"


def test_the_clocks_that_differ_are_marked_and_no_others(waves):
    marked = [cycle for cycle in range(1190, 1206) if at(waves, "golden.differs", cycle) == "1"]
    assert marked == [1200]


def test_inputs_and_reset_are_there(waves):
    assert [at(waves, "exposure_clock.reset", cycle) for cycle in (1190, 1192, 1193)] == ["1", "1", "0"]
    assert [at(waves, "exposure_clock.enable", cycle) for cycle in (1194, 1195, 1196)] == ["1", "0", "1"]


def test_nothing_is_expected_while_the_pipeline_fills(waves):
    assert at(waves, "golden.sec_tens", 1191) == "xxxx"


def test_every_cycle_ends_at_a_rising_clock(waves):
    assert [at(waves, "exposure_clock.clock", 1200, share) for share in (0.25, 0.75)] == ["1", "0"]
    rises = [time for time, value in waves["exposure_clock.clock"].tv if value == "1"]
    assert rises[1:] == [round(cycle * PERIOD_NS * 1000) for cycle in range(1191, 1207)]


@pytest.mark.parametrize(
    ("pulse", "levels"), [(Reset.PULSED, ["0", "0", "1", "0"]), (Reset.PULSED_EARLY, ["0", "1", "0", "0"])]
)
def test_a_reset_between_two_edges_is_a_pulse_in_its_half(pulse, levels):
    failure = failing().failure
    waves = read(failing(failure=replace(failure, excerpt=excerpt(pulse=pulse))))
    shares = (0.05, 0.25, 0.7, 0.9)
    assert [at(waves, "exposure_clock.reset", 1205, share) for share in shares] == levels


def test_only_a_difference_makes_a_dump_and_every_dump_has_its_name():
    found = dict(dumps(outcome(failing(), passing(), undecided(), failing())))
    assert list(found) == ["exposure-timer-display-digits.vcd", "exposure-timer-display-digits-2.vcd"]


def test_the_same_failure_gives_the_same_file():
    assert as_vcd(failing()) == as_vcd(failing())


@given(st.text(min_size=1, max_size=12), st.text(min_size=1, max_size=12))
def test_any_names_can_be_read_back(module, port):
    failure = failing().failure
    named = replace(failure.excerpt, ports={"digits[0]": port, "digits[1]": f"$end {port}"})
    text = as_vcd(failing(module=module, name=port, failure=replace(failure, excerpt=named)))
    assert len(VCDVCD(vcd_string=text).signals) == 9
    assert "\n$enddefinitions $end\n" in text
