import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.diagnose.shift_rule import RIGHT, ShiftRule, convert_columns, steps_of
from verify.models.shift_and_add import shift_and_add
from verify.signals import column

RULES = st.builds(
    ShiftRule,
    threshold=st.integers(1, 15),
    addend=st.integers(1, 7),
    skipped=st.sets(st.integers(0, 3), max_size=2).map(lambda s: tuple(sorted(s))),
    after_last=st.booleans(),
    carries=st.booleans(),
)


@given(st.data(), st.integers(1, 70), st.integers(1, 22))
def test_the_right_rule_gives_the_golden_table(data, width, digits):
    number = data.draw(st.integers(0, (1 << width) - 1))
    assert steps_of(number, width, digits) == shift_and_add(number, width, digits)


@given(RULES, st.data(), st.sampled_from((1, 5, 8, 13, 62, 63, 80)), st.integers(1, 5))
def test_columns_hold_the_last_step_of_every_table(rule, data, width, digits):
    numbers = data.draw(st.lists(st.integers(0, (1 << width) - 1), min_size=1, max_size=5))
    found = convert_columns(column(numbers, width), width, digits, rule)
    for i, number in enumerate(numbers):
        last = steps_of(number, width, digits, rule)[-1].bcd
        assert sum(int(d[i]) << 4 * p for p, d in enumerate(found)) == last


def test_every_wrong_rule_goes_wrong_somewhere():
    numbers = column(np.arange(256), 8)
    right = convert_columns(numbers, 8, 3)
    for rule in (
        ShiftRule(threshold=4),
        ShiftRule(threshold=6),
        ShiftRule(skipped=(1,)),
        ShiftRule(addend=2),
        ShiftRule(threshold=6, only=(1,)),
        ShiftRule(addend=4, carries=True, only=(0,)),
    ):
        wrong = convert_columns(numbers, 8, 3, rule)
        assert any((a != b).any() for a, b in zip(right, wrong, strict=True)), rule


def test_a_number_that_does_not_fit_is_refused():
    with pytest.raises(ValueError, match="no such conversion"):
        steps_of(256, 8, 3, RIGHT)
