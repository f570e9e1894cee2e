"""Combinational converters: their digits, their widths, and what happens when the digits run out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.models.bcd import FAMILY
from verify.models.family import OptionError
from verify.models.playing import ResetKind, expect
from verify.signals import Stimulus, column


def converter(binary, options=None, **outputs):
    (candidate,) = FAMILY.candidates({"binary": (binary,), **outputs}, options or {}, True)
    assert candidate.latencies is None
    return candidate.model


@st.composite
def conversions(draw):
    width = draw(st.integers(1, 24) | st.integers(25, 140))
    digits = draw(st.integers(1, len(str((1 << width) - 1)) + 2))
    numbers = draw(st.lists(st.integers(0, (1 << width) - 1), min_size=1, max_size=8))
    return width, digits, numbers


@given(conversions())
def test_packed_digits_of_any_width_are_the_decimal_ones(drawn):
    width, digits, numbers = drawn
    model = converter(width, bcd=(4 * digits,))
    (packed,), cares = model.table((column(numbers, width),))
    assert cares is None
    assert packed.tolist() == [int(str(n % 10**digits), 16) for n in numbers]
    assert [model.out((), (n,)) for n in numbers] == [(value,) for value in packed.tolist()]


@given(conversions(), st.data())
def test_separate_digits_are_the_same_digits_whatever_the_spare_bits(drawn, data):
    width, digits, numbers = drawn
    widths = tuple(data.draw(st.integers(4, 9)) for _ in range(digits))
    model = converter(width, digits=widths)
    assert [s.name for s in model.outputs] == [f"digits[{i}]" for i in range(digits)]
    columns, _ = model.table((column(numbers, width),))
    for place, values in enumerate(columns):
        assert values.tolist() == [n // 10**place % 10 for n in numbers]


@pytest.mark.parametrize(
    ("binary", "options", "outputs"),
    [
        (8, {}, {"bcd": (10,)}),
        (8, {"max_value": 199}, {"bcd": (9,)}),
        (4, {}, {"bcd": (5,)}),
        (6, {}, {"digits": (4, 3)}),
        (7, {"max_value": 79}, {"digits": (4, 3)}),
        (7, {"max_value": 79, "overflow": "any"}, {"bcd": (7,)}),
        (3, {}, {"digits": (3,)}),
    ],
)
def test_a_digit_needs_no_more_bits_than_its_largest_value(binary, options, outputs):
    model = converter(binary, options, **outputs)
    limit = options.get("max_value", (1 << binary) - 1)
    columns, _ = model.table((np.arange(limit + 1),))
    for values, signal in zip(columns, model.outputs, strict=True):
        assert values.max() <= signal.mask


@pytest.mark.parametrize(
    ("binary", "options", "outputs", "message"),
    [
        (8, {}, {"bcd": (9,)}, "bcd: found 1 bit for digit 2, which can be 2, expected 2 bits there"),
        (8, {}, {"bcd": (7,)}, "bcd: found 3 bits for digit 1, which can be 9, expected 4 bits there"),
        (7, {}, {"digits": (4, 3)}, "digits: found 3 bits for digit 1, which can be 9"),
        (8, {"digits": 3}, {"bcd": (8,)}, "bcd: found a port of 8 bits, expected 12 bits for 3 digits"),
        (8, {"digits": 3}, {"digits": (4, 4)}, "digits: found 2 digit ports, expected 3 of them"),
        (8, {"digits": 1}, {"digits": (4, 4)}, "digits: found 2 digit ports, expected 1 of them"),
        (8, {"digits": 0}, {"bcd": (8,)}, "digits: found 0, expected an integer from 1"),
        (8, {"max_value": "99"}, {"bcd": (8,)}, "max_value: found '99', expected an integer from 0"),
        (8, {"overflow": "wrap"}, {"bcd": (8,)}, 'overflow: found \'wrap\', expected "modulo" or "any"'),
        (8, {"ratio": 5}, {"bcd": (8,)}, "ratio: found an option that this model does not have"),
        (8, {"max_cycles": 5}, {"bcd": (8,)}, "max_cycles: found 5, expected the roles start, done or busy"),
        (8, {}, {}, "bcd: found neither, expected one of bcd, digits"),
        (8, {}, {"bcd": (8,), "digits": (4,)}, "digits: found bcd and digits, expected one of bcd, digits"),
        (8, {}, {"bcd": (4, 4)}, "bcd: found 2 ports, expected one port"),
    ],
)
def test_what_no_converter_can_have_is_refused_by_name(binary, options, outputs, message):
    with pytest.raises(OptionError, match=message):
        converter(binary, options, **outputs)


def test_a_converter_without_an_input_is_refused():
    with pytest.raises(OptionError, match="binary: found no port"):
        FAMILY.candidates({"bcd": (8,)}, {}, True)


def test_digits_that_there_is_no_room_for_are_dropped():
    model = converter(8, bcd=(8,))
    assert model.out((), (255,)) == (0x55,)
    assert model.cares((), (255,)) is None


def test_fewer_digits_than_bits_leave_the_upper_bits_zero():
    model = converter(8, {"digits": 1}, bcd=(8,))
    assert model.out((), (255,)) == (0x05,)


def test_nothing_is_promised_of_a_number_that_the_digits_cannot_hold():
    model = converter(8, {"overflow": "any"}, bcd=(8,))
    _, cares = model.table((np.arange(256),))
    assert cares[0].tolist() == [0xFF] * 100 + [0] * 156
    assert model.cares((), (99,)) == (0xFF,)
    assert model.cares((), (100,)) == (0,)


def test_overflow_makes_no_difference_where_the_digits_suffice():
    assert converter(8, {"overflow": "any"}, bcd=(12,)).cares((), (255,)) is None


def test_numbers_above_the_largest_are_not_driven_and_not_promised():
    model = converter(8, {"max_value": 59}, bcd=(7,))
    assert model.limits == {"binary": 59}
    assert model.cares((), (59,)) == (0x7F,)
    assert model.cares((), (60,)) == (0,)
    assert converter(8, {"max_value": 999}, bcd=(12,)).limits == {"binary": 255}


def test_a_sweep_costs_one_row_per_number():
    model = converter(7, bcd=(8,))
    stimulus = Stimulus.dense(model.inputs, (column(range(128), 7),))
    trace, state = expect(model, stimulus, ResetKind.SYNCHRONOUS)
    assert len(trace.cycles) == 128
    assert state == ()
