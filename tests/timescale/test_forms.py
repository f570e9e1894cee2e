"""What the clock does to a constant, calculated with, is what it does to the value."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from verify.timescale.form import Form

numbers = st.fractions(-20, 20, max_denominator=6)
forms = st.dictionaries(st.integers(-2, 2), numbers, max_size=3).map(Form.of)
singles = st.tuples(st.integers(-2, 2), numbers.filter(bool)).map(lambda pair: Form.of(dict([pair])))
factors = st.fractions(1, 50, max_denominator=5)


@given(forms, forms, factors)
def test_a_sum_a_difference_and_a_product_are_those_of_the_values(a: Form, b: Form, factor: Fraction) -> None:
    assert (a + b).at(factor) == a.at(factor) + b.at(factor)
    assert (a - b).at(factor) == a.at(factor) - b.at(factor)
    assert (-a).at(factor) == -a.at(factor)
    assert (a * b).at(factor) == a.at(factor) * b.at(factor)


@given(forms, singles, factors)
def test_a_quotient_by_one_power_is_that_of_the_values(a: Form, b: Form, factor: Fraction) -> None:
    quotient = a.over(b)
    assert quotient is not None
    assert quotient.at(factor) * b.at(factor) == a.at(factor)


@given(forms, factors)
def test_a_form_is_what_scales_and_what_does_not(a: Form, factor: Fraction) -> None:
    assert a.at(factor) == a.scaling(factor) + a.fixed
    assert a.scales == (len({a.scaling(Fraction(n)) for n in range(1, 12)}) > 1)


def test_nothing_is_divided_by_zero_or_by_a_sum_of_powers() -> None:
    one = Form.constant(1)
    assert one.over(Form()) is None
    assert one.over(Form.of({0: Fraction(1), 1: Fraction(1)})) is None


def test_a_decimal_fraction_counts_as_it_is_written() -> None:
    assert Form.constant(0.1).at(1) == Fraction(1, 10)
    assert (Form.of({1: Fraction(3)}).power, Form.of({1: Fraction(3), 2: Fraction(1)}).power) == (1, None)
    assert Form.constant(3).power is None
