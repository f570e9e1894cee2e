"""Options that are lists, and what is wrong with them."""

import pytest

from verify.models.family import OptionError
from verify.models.option_lists import names_in, numbers_in


def test_a_list_that_was_left_out_is_none_or_empty():
    assert numbers_in({}, "modulo", low=2) is None
    assert names_in({}, "priority", ("clear",)) == ()


def test_proper_lists_are_read_in_order():
    assert numbers_in({"modulo": [60, 24]}, "modulo", low=2, high=60, count=2) == (60, 24)
    assert names_in({"priority": ["load", "clear"]}, "priority", ("clear", "load")) == ("load", "clear")


@pytest.mark.parametrize(
    ("value", "match"),
    [
        (60, "modulo: found 60, expected a list of integers from 2 to 99"),
        ([], r"modulo: found \[\], expected a list"),
        ([1], "modulo: found 1, expected integers from 2 to 99"),
        ([100], "modulo: found 100, expected integers from 2 to 99"),
        ([True], "modulo: found True, expected integers"),
        (["60"], "modulo: found '60', expected integers"),
        ([60], "modulo: found 1 numbers, expected 2, fastest first"),
    ],
)
def test_a_list_that_is_no_list_of_such_numbers_is_refused(value, match):
    with pytest.raises(OptionError, match=match):
        numbers_in({"modulo": value}, "modulo", low=2, high=99, count=2)
