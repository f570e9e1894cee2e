"""Shift and add three, step by step, against published worked examples.

Sources: C. B. Falconer, "An Explanation of the Double-Dabble Bin-BCD Conversion Algorithm" (the
table for 255); the worked examples for 243 and 65244 that go round with descriptions of the
algorithm. All three tables are written down from memory. The rule (add 3 where a digit exceeds 4,
before each shift) is common practice.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.models.shift_and_add import shift_and_add

FALCONER_255 = """
    start        000 11111111
    shift        001 1111111
    shift        003 111111
    shift        007 11111
    add 0        00A 11111
    shift        015 1111
    add 0        018 1111
    shift        031 111
    shift        063 11
    add 1        093 11
    shift        127 1
    add 0        12A 1
    shift        255
"""

EXAMPLE_243 = """
    start        000 11110011
    shift        001 1110011
    shift        003 110011
    shift        007 10011
    add 0        00A 10011
    shift        015 0011
    add 0        018 0011
    shift        030 011
    shift        060 11
    add 1        090 11
    shift        121 1
    shift        243
"""

EXAMPLE_65244 = """
    start        00000 1111111011011100
    shift        00001 111111011011100
    shift        00003 11111011011100
    shift        00007 1111011011100
    add 0        0000A 1111011011100
    shift        00015 111011011100
    add 0        00018 111011011100
    shift        00031 11011011100
    shift        00063 1011011100
    add 1        00093 1011011100
    shift        00127 011011100
    add 0        0012A 011011100
    shift        00254 11011100
    add 1        00284 11011100
    shift        00509 1011100
    add 0,2      0080C 1011100
    shift        01019 011100
    add 0        0101C 011100
    shift        02038 11100
    add 0        0203B 11100
    shift        04077 1100
    add 0,1      040AA 1100
    shift        08155 100
    add 0,1,3    0B188 100
    shift        16311 00
    add 3        19311 00
    shift        32622 0
    add 2        32922 0
    shift        65244
"""


def written(number, width, digits):
    """The steps as the tables above have them."""
    lines, left = [], width
    for step in shift_and_add(number, width, digits):
        left -= step.operation == "shift"
        name = " ".join([step.operation, ",".join(map(str, step.places))]).strip()
        rest = format(step.binary, f"0{width}b")[:left]
        lines.append(f"{name} {step.bcd:0{digits}X} {rest}".strip())
    return lines


@pytest.mark.parametrize(
    ("table", "number", "width", "digits"),
    [(FALCONER_255, 255, 8, 3), (EXAMPLE_243, 243, 8, 3), (EXAMPLE_65244, 65244, 16, 5)],
    ids=["255", "243", "65244"],
)
def test_every_step_is_that_of_the_worked_example(table, number, width, digits):
    assert written(number, width, digits) == [" ".join(line.split()) for line in table.strip().splitlines()]


@given(
    st.integers(1, 40).flatmap(lambda w: st.tuples(st.just(w), st.integers(0, (1 << w) - 1))),
    st.integers(1, 14),
)
def test_the_last_step_holds_the_decimal_digits(drawn, digits):
    width, number = drawn
    last = shift_and_add(number, width, digits)[-1]
    assert last.bcd == int(str(number % 10**digits), 16)
    assert last.binary == 0


@pytest.mark.parametrize(("number", "width", "digits"), [(256, 8, 3), (-1, 8, 3), (1, 8, 0)])
def test_a_number_that_does_not_fit_is_refused(number, width, digits):
    with pytest.raises(
        ValueError, match=f"number={number} width={width} digits={digits}: no such conversion"
    ):
        shift_and_add(number, width, digits)
