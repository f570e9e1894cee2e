from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.report.figures import clean, count, duration, path_text, plural, rate, signal_time


@pytest.mark.parametrize(
    ("clocks", "seconds", "text"),
    [
        (512_000, 1.0, "512 k clocks/s"),
        (1_204, 2.0, "602 clocks/s"),
        (999_600, 1.0, "1 M clocks/s"),
        (16_400_000, 1.0, "16.4 M clocks/s"),
        (0, 1.0, ""),
        (5, 0.0, ""),
    ],
)
def test_a_rate_has_three_digits_and_a_unit(clocks, seconds, text):
    assert rate(clocks, seconds) == text


@given(st.integers(1, 10**15), st.floats(1e-6, 1e6))
def test_a_rate_is_never_in_powers_of_ten(clocks, seconds):
    assert "e+" not in rate(clocks, seconds)


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.04, "0.0 s"), (9.94, "9.9 s"), (9.96, "10 s"), (59.6, "1 min 00 s"), (125, "2 min 05 s"),
        (3599.7, "1 h 00 min"), (7380, "2 h 03 min"), (-1, "0.0 s"),
    ],
)  # fmt: skip
def test_a_duration_reads_like_a_watch(seconds, text):
    assert duration(seconds) == text


@pytest.mark.parametrize(
    ("time_ns", "text"),
    [
        (83.33333, "83.333 ns"), (100_083.333, "100.083 µs"), (12_345_678.0, "12.345678 ms"),
        (2e9, "2 s"), (3_723.5e9, "3,723.5 s (in 1:02:03)"), (0.0, "0 ns"),
    ],
)  # fmt: skip
def test_a_time_on_the_board_has_a_fitting_unit(time_ns, text):
    assert signal_time(time_ns) == text


def test_numbers_are_grouped_and_nouns_agree():
    assert count(1_234_567) == "1,234,567"
    assert plural(1, "clock") == "1 clock"
    assert plural(2_000, "clock") == "2,000 clocks"


@given(st.text(st.characters(exclude_categories=[])))
def test_clean_text_is_printable_one_line_and_encodable(text):
    cleaned = clean(text)
    cleaned.encode("utf-8")
    assert "\x1b" not in cleaned
    assert len(cleaned.splitlines()) <= 1


def test_ordinary_text_in_any_script_stays_as_it_is():
    assert clean("Uhr, 時計, horloge: ✓ µs") == "Uhr, 時計, horloge: ✓ µs"


def test_a_path_is_said_from_where_the_user_stands(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert path_text(tmp_path / "a" / "b.v") == str(Path("a/b.v"))
    assert path_text(Path("/elsewhere/b.v")) == "/elsewhere/b.v"
    assert path_text(tmp_path.parent / "c" / ".." / "b.v") == str(tmp_path.parent / "b.v")
