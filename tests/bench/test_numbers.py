"""Numbers are what a person would work out, or an error that says why not."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.bench.numbers import NumberError, evaluate, is_literal, literal_value

PARAMETERS = {"CLK_HZ": 12_000_000, "WIDTH": 8, "LAST": 0, "MODE": None}


@pytest.mark.parametrize(
    ("written", "value"),
    [
        (7, 7),
        (-7, -7),
        (12e6, 12_000_000),
        ("CLK_HZ / 2", 6_000_000),
        ("CLK_HZ / 1000 - 1", 11_999),
        (" (WIDTH + 1) * 2 ", 18),
        ("2 ** WIDTH - 1", 255),
        ("1 << WIDTH", 256),
        ("CLK_HZ >> 4", 750_000),
        ("7 // 2 % 2", 1),
        ("-WIDTH + +3", -5),
        ("clog2(CLK_HZ)", 24),
        ("$clog2(10)", 4),
        ("max(WIDTH, 3, 9)", 9),
        ("min(WIDTH)", 8),
        ("8'hFF + 1", 256),
        ("4'd15", 15),
        ("'b1_0", 2),
        ("1_000", 1000),
        ("12e6", 12_000_000),
    ],
)
def test_an_expression_has_its_value(written, value):
    assert evaluate(written, PARAMETERS) == value


@pytest.mark.parametrize(
    ("written", "message", "advice"),
    [
        (
            "CLK_HZ / 7",
            "12000000 / 7 does not come out even",
            "write // to round down, or change the numbers",
        ),
        (
            "CLK_KHZ * 2",
            '"CLK_KHZ * 2": there is no parameter "CLK_KHZ"; the module has CLK_HZ, WIDTH, LAST, MODE',
            'did you mean "CLK_HZ"?',
        ),
        ("MODE + 1", '"MODE + 1": the parameter "MODE" is not an integer', None),
        ("WIDTH / LAST", '"WIDTH / LAST" divides by zero', None),
        ("WIDTH % 0", '"WIDTH % 0" divides by zero', None),
        ("2 ** -1", "2 ** -1 is not a whole number", None),
        ("9 ** 9 ** 9", "9 ** 387420489 is too large", None),
        ("1 << 99999", "1 << 99999 is out of range", None),
        ("1 >> -1", "1 >> -1 is out of range", None),
        ("clog2(-1)", "clog2(-1) does not exist", None),
        ("clog2(1, 2)", '"clog2(1, 2)": clog2() takes one value', None),
        ("max()", '"max()": max() takes some value', None),
        ("2'b12", "2'b12 is not a Verilog literal", "write one such as 8'd12 or 8'hFF"),
        ("1.5", "1.5 is not a whole number", None),
        (0.5, "0.5 is not a whole number", None),
        (True, "not a number", "write an integer, or an expression in quotes"),
        ("1" + "+1" * 300, "an expression of 601 characters; the limit is 500", None),
    ],
)
def test_an_expression_that_is_no_integer_says_why(written, message, advice):
    with pytest.raises(NumberError, match=r"\S") as caught:
        evaluate(written, PARAMETERS)
    assert (caught.value.message, caught.value.advice) == (message, advice)


@pytest.mark.parametrize("written", ["", "1 +", "a b", "\0", "((", "*", "1;2", "x = 1", "é("])
def test_what_is_no_expression_is_refused(written):
    with pytest.raises(NumberError, match="is not an expression"):
        evaluate(written, PARAMETERS)


@pytest.mark.parametrize(
    "written",
    [
        "__import__('os')",
        "().__class__",
        "WIDTH.real",
        "[1][0]",
        "lambda: 1",
        "WIDTH if 1 else 2",
        "1 < 2",
        "True",
        "'text'",
        "f(1)",
        "max(*[1])",
        "clog2(x=1)",
        "not 1",
        "~1",
        "1 & 1",
        "(1, 2)",
        "1 @ 2",
        "(y := 1)",
    ],
)
def test_nothing_but_arithmetic_is_evaluated(written):
    with pytest.raises(NumberError, match=r"is not (allowed in )?an expression"):
        evaluate(written, PARAMETERS)


EXPRESSIONS = st.recursive(
    st.integers(0, 99).map(str) | st.sampled_from(["WIDTH", "CLK_HZ"]),
    lambda inner: st.tuples(inner, st.sampled_from(["+", "-", "*", "//", "%"]), inner).map(
        lambda parts: f"({parts[0]} {parts[1]} {parts[2]})"
    ),
    max_leaves=12,
)


@given(EXPRESSIONS)
def test_arithmetic_is_that_of_integers(written):
    try:
        expected = eval(written, {"__builtins__": {}}, dict(PARAMETERS))
    except ZeroDivisionError:
        with pytest.raises(NumberError, match="divides by zero"):
            evaluate(written, PARAMETERS)
    else:
        assert evaluate(written, PARAMETERS) == expected


@given(st.integers(1, 10**30))
def test_clog2_is_the_number_of_bits_that_count_that_many_states(value):
    bits = evaluate(f"clog2({value})", {})
    assert 2**bits >= value
    assert bits == 0 or 2 ** (bits - 1) < value
    assert value > 2**40 or bits == math.ceil(math.log2(value))


@given(st.text(max_size=40))
def test_any_text_gives_an_integer_or_the_error(text):
    try:
        found: object = evaluate(text, PARAMETERS)
    except NumberError as error:
        found = error.message
    assert isinstance(found, int) or found


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("8'd12", 12),
        ("4'hFF", 15),
        ("'o17", 15),
        ("8'b1010_0101", 0xA5),
        ("8 'sd3", 3),
        ("12", None),
        ("3'b2", None),
    ],
)
def test_a_verilog_literal_has_its_value(written, value):
    assert literal_value(written) == value


@pytest.mark.parametrize(
    ("written", "literal"),
    [
        ("12", True),
        ("-3", True),
        ("1.5e3", True),
        ("8'd12", True),
        ('"FAST"', True),
        ("FAST", False),
        ("W+1", False),
    ],
)
def test_literals_are_told_from_expressions(written, literal):
    assert is_literal(written) is literal
