"""Decimal digits against Python's own integer formatting.

Source: the ``d`` presentation type of Python's format specification, an implementation of decimal
that shares nothing with the golden model.
"""

import numpy as np

from verify.models.bcd import FAMILY

BITS = 18


def converter(**options):
    return FAMILY.candidates({"binary": (BITS,), "bcd": (24,)}, options, True)[0].model


def test_every_value_up_to_18_bits_has_the_digits_that_python_prints():
    (packed,), cares = converter().table((np.arange(1 << BITS, dtype=np.int64),))
    assert cares is None
    assert packed.tolist() == [int(format(n, "d"), 16) for n in range(1 << BITS)]


def test_the_one_cycle_form_prints_the_same_digits():
    model = converter()
    for number in (*range(2000), *range((1 << BITS) - 2000, 1 << BITS)):
        assert model.out((), (number,)) == (int(str(number), 16),)


def test_separate_digits_are_the_printed_ones_from_the_right():
    shape = {"binary": (BITS,), "digits": (4,) * 6}
    model = FAMILY.candidates(shape, {}, True)[0].model
    columns, _ = model.table((np.arange(0, 1 << BITS, 7, dtype=np.int64),))
    printed = [format(n, "06d")[::-1] for n in range(0, 1 << BITS, 7)]
    for place, digits in enumerate(columns):
        assert digits.tolist() == [int(text[place]) for text in printed]
