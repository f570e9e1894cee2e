"""Other ratios are tried where every constant stays exact, and what differs there is told."""

from __future__ import annotations

from fractions import Fraction

import pytest
from snippets import NATIVE_HZ, counter, survey

from verify.timescale.laboratory import NativeRun, ShortRun
from verify.timescale.sweep import ALL_RATIOS, USUAL_RATIOS, sweep, sweep_problem, sweep_values


def test_a_divider_of_the_clock_itself_is_tried_at_the_ratios_as_they_are(tmp_path) -> None:
    plain = survey(tmp_path, counter("26", "count == CLK_HZ - 1"))
    assert sweep_values(plain, USUAL_RATIOS) == USUAL_RATIOS
    assert sweep_values(plain, ALL_RATIOS) == ALL_RATIOS


@pytest.mark.parametrize(
    ("limit", "values"),
    [
        ("CLK_HZ / 1000 - 1", (3_000, 5_000, 16_000)),  # the fastest divider has the ratio
        ("3 * CLK_HZ - 1", (1, 2, 6)),
        ("CLK_HZ / 8 * 5 - 1", (24, 40, 128)),
    ],
)
def test_the_fastest_divider_has_the_ratios(limit: str, values: tuple[int, ...], tmp_path) -> None:
    read = survey(tmp_path, counter("32", f"count == {limit}"))
    found = sweep_values(read, (3, 5, 16))
    assert found == values
    for value in found:
        assert all((count * value / NATIVE_HZ).denominator == 1 for count in map(Fraction, read.counts))


def test_the_board_itself_and_beyond_is_no_other_ratio(tmp_path) -> None:
    read = survey(tmp_path, counter("8", "count == CLK_HZ - 1").replace("50_000_000", "100"), native=100)
    assert sweep_values(read, (10, 99, 100, 101, 1000)) == (10, 99)


def test_a_native_power_of_two_is_tried_at_powers_of_two(tmp_path) -> None:
    text = counter("15", "count == CLK_HZ - 1").replace("50_000_000", "32768")
    assert sweep_values(survey(tmp_path, text, native=32768), ALL_RATIOS) == (2, 4, 16, 256)
    text = text.replace("32768", "32769")
    assert sweep_values(survey(tmp_path, text, native=32769), (16, 17)) == (16, 17)


class Known:
    """A laboratory in which it is known what differs."""

    def __init__(self, *differing: int) -> None:
        self.differing, self.asked = differing, []

    def at(self, value: int, *, cycles_limit: int) -> ShortRun:
        self.asked.append((value, cycles_limit))
        return ShortRun(value, value not in self.differing, text=f"differs at {value}")

    def native_second(self) -> NativeRun:
        return NativeRun(None)


def test_the_sweep_ends_at_the_second_difference_that_counts() -> None:
    known = Known(3, 5, 16, 17)
    runs = sweep(known, (3, 5, 16, 17, 257), 5)
    assert [run.value for run in runs] == [3, 5, 16]  # what needs more clocks than 3 is no difference
    assert known.asked == [(3, 6_000), (5, 6_000), (16, 6_000)]
    assert sweep_problem(runs, "HZ", 5) == "at HZ = 5 the design differs: differs at 5"
    assert sweep_problem(runs, "HZ", 17) is None
    long = Known()
    assert all(run.agrees for run in sweep(long, (250, 251, 1000), 5))
    assert long.asked == [(250, 6_000), (251, 6_024), (1000, 24_000)]
