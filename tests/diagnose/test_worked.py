import itertools
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.diagnose.shift_rule import ShiftRule
from verify.diagnose.worked import (
    NothingToShow,
    worked_conversion,
    worked_digit,
    worked_division,
    worked_stages,
)
from verify.models.controls import signals_of
from verify.models.divider_square import SquareDivider
from verify.models.divider_tick import TickDivider


@given(st.integers(0, (1 << 16) - 1))
def test_the_last_row_of_a_conversion_holds_the_number_in_decimal(number):
    sheet = worked_conversion(number, width=16)
    digits = sheet.rows[-1].cells[2].split()
    assert int("".join(str(int(d, 2)) for d in digits)) == number


def test_a_plus_stands_before_each_corrected_digit():
    marked = [row.cells[2] for row in worked_conversion(243, width=8).rows if row.marked]
    assert marked == [" 0000 0000+1010", " 0000 0001+1000", " 0000+1001 0000"]


@pytest.mark.parametrize("width", [1, 4, 8, 16, 20, 32, 48, 64, 128, 300])
def test_a_conversion_of_any_width_says_how_its_digits_are_written(width):
    sheet = worked_conversion((1 << width) - 1, width=width)
    last = sheet.rows[-1].cells[2].replace("+", " ").split()
    as_bits = len(last[0]) == 4
    value = "".join(str(int(d, 2)) if as_bits else d for d in last)
    assert int(value) == (1 << width) - 1
    assert as_bits or any("hexadecimal character" in r for r in sheet.remarks)


def test_a_faulty_rule_is_told_as_it_is():
    sheet = worked_conversion(5, width=3, digits=1, rule=ShiftRule(threshold=6, after_last=True))
    assert sheet.remarks[0].startswith(
        "Before each shift and after the last one, 3 is added to every digit of 6"
    )


@pytest.mark.parametrize("digit", range(16))
@pytest.mark.parametrize(("active_low", "order"), list(itertools.product((False, True), ("a_lsb", "a_msb"))))
def test_the_rows_of_a_digit_make_up_the_value_of_its_port(digit, active_low, order):
    sheet = worked_digit(digit, active_low=active_low, order=order)
    value = sum(int(row.cells[4]) << int(row.cells[0]) for row in sheet.rows)
    assert dict(sheet.facts)["value"].endswith(f"= {value}")
    lit = {row.cells[1] for row in sheet.rows if row.cells[3] == "lit"}
    assert lit == {"abcdefg"[i] for i in range(7) if sheet.segments >> i & 1}
    assert [row.cells[1] for row in sheet.rows][0 if order == "a_msb" else -1] == "a"


def _clocks(sheet):
    return {
        int(row.cells[0].replace(",", "")): int(row.cells[2])
        for row in sheet.rows
        if row.cells[0][0].isdigit()
    }


@given(st.integers(1, 200))
def test_a_worked_tick_is_where_the_golden_divider_has_it(ratio):
    model = TickDivider((), signals_of({"tick": (1,)}, ("tick",), bits=("tick",)), ratio)
    state, golden = model.initial(), []
    for _ in range(2 * ratio + 3):
        golden.append(model.out(state, ())[0])
        state = model.next(state, ())
    assert _clocks(worked_division(ratio=ratio)).items() <= dict(enumerate(golden)).items()


@given(st.integers(2, 200))
def test_a_worked_square_is_the_one_of_the_golden_divider(ratio):
    model = SquareDivider((), signals_of({"square": (1,)}, ("square",), bits=("square",)), ratio, ratio // 2)
    state, golden = model.initial(), []
    for _ in range(2 * ratio + 3):
        golden.append(model.out(state, ())[0])
        state = model.next(state, ())
    assert _clocks(worked_division(ratio=ratio, square=True)).items() <= dict(enumerate(golden)).items()


def test_the_register_is_as_wide_as_its_terminal_count():
    facts = dict(worked_division(clock_hz=Fraction(12_000_000), rate_hz=Fraction(1)).facts)
    assert facts["count"] == "runs 0 to 11,999,999; the terminal count is 11,999,999"
    assert facts["width"].startswith("24 bits: 2^24 = 16,777,216 states; 23 would run over after 8,388,608")
    assert dict(worked_division(ratio=256).facts)["width"].startswith("8 bits")
    assert dict(worked_division(ratio=257).facts)["width"].startswith("9 bits")


def test_a_ratio_that_is_not_whole_tells_the_rate_that_results():
    facts = dict(worked_division(clock_hz=Fraction(50_000_000), rate_hz=Fraction(3)).facts)
    assert facts["ratio"].endswith("rounded to 16,666,667")
    assert "0.02 parts per million too slow" in facts["real rate"]


@given(st.integers(0, 10**9), st.lists(st.integers(2, 120), min_size=1, max_size=4))
def test_what_the_stages_hold_adds_up_to_the_seconds(seconds, modulo):
    rows = worked_stages(seconds, modulo=modulo).rows
    total, weight = 0, 1
    for row, number in zip(rows, modulo, strict=True):
        total += int(row.cells[2]) * weight
        weight *= number
    assert total == seconds % weight


@given(
    st.integers(0, 10**6),
    st.lists(st.integers(2, 120), min_size=1, max_size=4),
    st.sampled_from(("up", "down")),
)
def test_the_next_clock_of_the_stages_is_one_second_away(seconds, modulo, direction):
    after = [
        int(row.cells[5].split(":")[0])
        for row in worked_stages(seconds, modulo=modulo, direction=direction).rows
    ]
    weight = 1
    for number in modulo:
        weight *= number
    step = 1 if direction == "up" else -1
    held = [int(r.cells[2]) for r in worked_stages((seconds + step) % weight, modulo=modulo).rows]
    assert after == held


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: worked_conversion(300, width=8), "width: found 8 bits for 300, expected at least 9 bits"),
        (lambda: worked_conversion(1, width=0), "width: found 0 bits"),
        (lambda: worked_conversion(1, digits=0), "digits: found 0"),
        (lambda: worked_division(ratio=1, square=True), "at least 2 for a square wave"),
        (lambda: worked_division(clock_hz=Fraction(0)), "clock: found 0 Hz"),
        (worked_division, "clock: found nothing"),
        (lambda: worked_stages(1, modulo=(60, 1)), "modulo: found 1"),
        (lambda: worked_stages(1, modulo=()), "modulo: found 0 stages"),
    ],
)
def test_numbers_without_an_answer_are_refused(call, message):
    with pytest.raises(NothingToShow, match=re.escape(message)):
        call()


@pytest.mark.parametrize(
    ("clock_hz", "rate_hz", "said"),
    [
        (10, 20, "20 Hz from a clock of 10 Hz, expected at most that of the clock"),
        (10**30, 1, r"less than 2\^64"),
    ],
)
def test_a_ratio_that_no_divider_has_is_refused(clock_hz, rate_hz, said):
    with pytest.raises(NothingToShow, match=said):
        worked_division(clock_hz=Fraction(clock_hz), rate_hz=Fraction(rate_hz))


def test_a_rate_that_is_far_off_is_told_in_percent():
    facts = dict(worked_division(clock_hz=Fraction(100), rate_hz=Fraction(3)).facts)
    assert facts["real rate"] == "3.030303 Hz, 1.01 % too fast"
