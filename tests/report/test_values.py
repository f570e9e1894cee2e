from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.report.values import cell_text, differing_bits, side_by_side
from verify.results import Mismatch


def shown(expected, observed, width=80):
    mismatch = Mismatch(0, 0, 0.0, "bus", "binary", len(expected), expected, observed)
    return [each.plain for each in side_by_side(mismatch, width)]


def test_one_bit_is_shown_as_one_bit():
    assert shown("1", "0") == ["  expected   1", "  observed   0"]


def test_bits_are_grouped_and_aligned_with_decimal_and_hexadecimal():
    assert shown("100101100", "100100111") == [
        "  expected   1_0010_1100   300   0x12c",
        "  observed   1_0010_0111   295   0x127",
        "                    ^ ^^",
    ]


@pytest.mark.parametrize(
    ("bits", "word", "digits"),
    [
        ("xxxx", "unknown", "0xx"),
        ("0x01", "unknown", "0xX"),
        ("zzzz", "open", "0xz"),
        ("xxxxxxx", "unknown", "0xxx"),
        ("z1111", "open", "0xzf"),
    ],
)
def test_an_unknown_bit_makes_a_word_and_a_letter(bits, word, digits):
    # The letters are those of IEEE 1364-2005 §17.1.1.4 (from memory).
    row = shown("0" * len(bits), bits)[1]
    assert word in row
    assert row.endswith(digits)


@given(st.text("01xz", min_size=1, max_size=130), st.data())
def test_a_caret_stands_under_every_differing_bit_and_under_no_other(observed, data):
    expected = data.draw(st.text("01-", min_size=len(observed), max_size=len(observed)))
    carets = sum(line.count("^") for line in shown(expected, observed))
    different = differing_bits(expected, observed)
    assert carets == (len(different) if len(observed) > 1 else 0)
    assert set(different) == {
        len(observed) - 1 - at
        for at, (want, have) in enumerate(zip(expected, observed, strict=True))
        if want != "-" and want != have
    }


@given(st.integers(1, 300), st.integers(40, 100))
def test_no_row_of_a_wide_value_is_cut_or_too_wide(width, room):
    lines = shown("1" * width, "0" * width, room)
    if width > 1:
        assert sum(line.count("^") for line in lines) == width
    binary = [line for line in lines if "^" in line]
    assert all(len(line) <= room for line in binary)


@pytest.mark.parametrize(
    ("bits", "role", "text"),
    [
        ("1001", "digits[1]", "9"),
        ("11111111", "binary", "255"),
        ("000100100011", "bcd", "123"),
        ("0000110", "segments", "0000110"),
        ("0000110", "segment_ports[2]", "0000110"),
        ("xxxxxxxx", "binary", "x"),
        ("--------", "binary", "-"),
        ("1xxx", "binary", "X"),
        ("1" * 40, "count", "f" * 10),
    ],
)
def test_a_cell_shows_a_value_the_way_its_role_is_read(bits, role, text):
    assert cell_text(bits, role) == text
