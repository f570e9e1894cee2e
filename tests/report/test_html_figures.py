"""The figures: what is in them, told by their words, tables and shapes."""

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.report.specimens import excerpt, failing
from verify.models.glyphs import HEXADECIMAL, pattern_of
from verify.pictures import Axis, CoverageMap, DigitLook, DisplayLook
from verify.report.html.digits import display_figure
from verify.report.html.glyphs import outlines, pattern_words
from verify.report.html.maps import map_figure
from verify.report.html.timing import timing_figure
from verify.report.html.working import conversion_view
from verify.results import Excerpt, Failure, Mismatch
from verify.signals import ExpectedTrace, ObservedTrace, Run, Signal, Stimulus, column


def texts(figure, style):
    return [shape.text for shape in figure.shapes if shape.kind == "text" and style in shape.style.split()]


def paths(figure, style):
    return [shape.d for shape in figure.shapes if shape.kind == "path" and style in shape.style.split()]


def test_the_diagram_draws_expected_over_observed_and_marks_the_clock():
    figure = timing_figure(excerpt(), 1200)
    assert texts(figure, "first") == ["1,200"]
    assert texts(figure, "flagged") == ["first difference"]
    assert len(paths(figure, "band")) == 1
    assert paths(figure, "expected")
    assert paths(figure, "observed")
    assert texts(figure, "want") == ["5"]
    assert texts(figure, "have") == ["4"]


def test_values_are_there_in_decimal_and_in_hexadecimal_where_those_differ():
    signal, cycles = Signal("count", 8), np.arange(2)
    expected = ExpectedTrace((signal,), 2, cycles, (column([9, 200], 8),))
    observed = ObservedTrace((signal,), 2, cycles, (column([9, 199], 8),))
    figure = timing_figure(Excerpt(0, Stimulus.of((), [Run(2)]), expected, observed), 1)
    assert figure.bases
    assert (texts(figure, "dec"), texts(figure, "hex")) == (["9", "200", "199"], ["09", "C8", "C7"])


def test_reset_and_enable_come_first_and_the_differing_output_last():
    names = texts(timing_figure(excerpt(), 1200), "name")
    assert names == ["clock edge", "reset", "enable", "sec_ones", "sec_tens"]


def test_the_table_holds_the_values_of_the_diagram_and_marks_its_row():
    table = timing_figure(excerpt(), 1200).table
    (row,) = [row for i, row in enumerate(table.rows) if i in table.marked]
    cells = dict(zip(table.columns, row, strict=True))
    assert cells["cycle"] == "1,200"
    assert cells["sec_tens expected"] == "0101 = 5"
    assert cells["sec_tens observed"] == "0100 = 4"


def test_a_diagram_without_a_difference_is_not_drawn():
    same = excerpt()
    assert timing_figure(replace(same, observed=_observed(same.expected)), 1200) is None


def _observed(trace, unknown=None):
    return ObservedTrace(trace.signals, trace.length, trace.cycles, trace.values, unknown)


def test_rows_of_different_kinds_are_told_one_by_one():
    down = Axis("while", 2, labels=("counting", "paused"))
    figure = map_figure(CoverageMap("clocks met", Axis("clock", 4), down, (1, 1, 1, 1, 0, 1, 0, 0)))
    assert figure.words == "Of 4: counting 4, paused 1."
    assert {"counting", "paused"} <= set(texts(figure, "tick"))
    assert figure.table.rows[1][0] == "paused"


def test_an_x_is_hatched_and_named():
    signal = Signal("tick", 1)
    expected = ExpectedTrace((signal,), 3, np.arange(1), (column([0], 1),))
    observed = ObservedTrace((signal,), 3, np.arange(1), (column([1], 1),), (column([1], 1),))
    figure = timing_figure(Excerpt(0, Stimulus.of((), [Run(3)]), expected, observed), 0)
    assert paths(figure, "unknown")
    assert "should be 0 and is x." in figure.words


@given(st.integers(1, 80), st.lists(st.integers(0, 2**80 - 1), min_size=2, max_size=60), st.data())
def test_any_values_of_any_width_are_drawn_inside_the_picture(width, values, data):
    values = [value % 2**width for value in values]
    other = [value ^ data.draw(st.sampled_from([0, 1])) for value in values]
    signal, cycles = Signal("count", width), np.arange(len(values))
    expected = ExpectedTrace((signal,), len(values), cycles, (column(values, width),))
    observed = ObservedTrace((signal,), len(values), cycles, (column(other, width),))
    figure = timing_figure(Excerpt(10**6, Stimulus.of((), [Run(len(values))]), expected, observed), None)
    if values == other:
        assert figure is None
        return
    for shape in figure.shapes:
        numbers = [float(n) for n in re.findall(r"[MHL](-?\d+\.?\d*)", shape.d)]
        assert all(0 <= n <= figure.width for n in numbers)
        assert 0 <= float(shape.x) <= figure.width
        assert 0 <= float(shape.y) <= figure.height
    assert len(figure.shapes) < 600


# --- digits -------------------------------------------------------------------------------------


@pytest.mark.parametrize("digit", [d for d in range(16) if d != 11])  # a b is a 6 without tail
def test_every_glyph_is_read_by_its_name(digit):
    assert pattern_words(pattern_of(HEXADECIMAL[digit])).startswith(f"{digit:X} (")


def test_patterns_that_are_no_digit_are_told_by_their_segments():
    assert pattern_words(0) == "dark"
    assert pattern_words(pattern_of("g")) == "a dash (g)"
    assert pattern_words(pattern_of("af")) == "no digit (af)"
    assert pattern_words(pattern_of("cdefg")) == "6 or b (cdefg)"
    assert pattern_words(pattern_of("bc") | 128) == "1 (bc) with point"
    assert pattern_words(0, pattern_of("ab")) == "unknown in ab"


@given(st.integers(0, 255))
def test_as_many_segments_are_drawn_as_are_lit(pattern):
    assert outlines(pattern, 0, 0, 1).count("Z") == pattern.bit_count()


def test_missing_and_extra_segments_are_outlined():
    five, six = pattern_of("acdfg"), pattern_of("acdefg")
    figure = display_figure(DisplayLook((DigitLook("seg", 3, five, 127, six),)), 3)
    assert paths(figure, "extra")
    assert not paths(figure, "missing")
    assert figure.words == "In cycle 3 seg should show 5 (acdfg) and shows 6 (acdefg)."
    figure = display_figure(DisplayLook((DigitLook("seg", 3, six, 127, five),)), 3)
    assert paths(figure, "missing")
    assert not paths(figure, "extra")


def test_digits_stand_as_on_the_board_least_significant_last():
    looks = tuple(DigitLook(f"d{i}", 3, pattern_of("bc"), 127, pattern_of("bc")) for i in range(3))
    rows = display_figure(DisplayLook(looks), 3).table.rows
    assert [row[0] for row in rows] == ["2 (d2)", "1 (d1)", "0 (d0)"]


# --- maps ---------------------------------------------------------------------------------------


def test_a_field_names_what_was_not_reached_once_for_all_rows_alike():
    reached = [1] * 3600
    reached[60 * 59 + 58] = reached[60 * 59 + 59] = 0
    figure = map_figure(CoverageMap("times", Axis("s", 60), Axis("m", 60), tuple(reached)))
    assert figure.table.rows == (("0 to 58", "nothing"), ("59", "58 to 59"))
    assert figure.words.startswith("3,598 of 3,600")


@given(st.integers(1, 60), st.integers(1, 60), st.randoms())
def test_the_filled_area_is_the_reached_share(across, down, random):
    reached = tuple(random.randint(0, 1) for _ in range(across * down))
    figure = map_figure(CoverageMap("pairs", Axis("a", across), Axis("b", down), reached))
    size = max(min(480 // across, 22), 4)
    gap = 0 if size < 8 else 2
    runs = [float(w) for d in paths(figure, "all") for w in re.findall(r"h(\d+\.?\d*)", d)]
    assert round(sum((w + gap) / size for w in runs)) == sum(reached)


def test_a_line_of_many_values_says_what_a_cell_stands_for():
    axis = Axis("binary", 1000, 4)
    reached = [4] * 250
    reached[10] = 1
    figure = map_figure(CoverageMap("numbers", axis, None, tuple(reached)))
    assert "A cell stands for 4 values." in figure.notes
    assert figure.table.rows == (("binary", "3 in 40 to 43"),)
    assert len(paths(figure, "some")) == 1


def test_glyphs_that_were_not_reached_stay_outlines():
    patterns = tuple(pattern_of(letters) for letters in HEXADECIMAL[:10])
    reached = (1,) * 9 + (0,)
    figure = map_figure(CoverageMap("digits", Axis("glyph", 10), None, reached, patterns))
    assert len(paths(figure, "lit")) == 9
    assert len(paths(figure, "outline")) == 1
    assert figure.table.rows == (("digit", "9"),)


# --- the worked conversion ----------------------------------------------------------------------


def converter(given, expected_text, observed_text, latency=1):
    """A converter that is given ``given`` clock by clock and differs in its last."""
    binary, bcd = Signal("binary", 8), Signal("bcd", 12)
    packed = [int(str(n), 16) for n in [0] * latency + given][: len(given)]
    cycles = np.arange(len(given))
    trace = ExpectedTrace((bcd,), len(given), cycles, (column(packed, 12),))
    shown = Excerpt(0, Stimulus.dense([binary], [column(given, 8)]), trace, _observed(trace))
    last = len(given) - 1
    mismatch = Mismatch(last, last - latency, 0.0, "q", "bcd", 12, expected_text, observed_text)
    return failing(model="bcd", failure=Failure("mismatch", "", mismatch, shown))


def test_the_number_behind_a_wrong_conversion_is_worked_out():
    sheet = conversion_view(converter([7, 243, 5], f"{0x243:012b}", f"{0x240:012b}"))
    assert sheet.title == "243 to BCD: shift and add 3, as it should go"
    assert dict(sheet.facts)["result"].startswith("243 =")
    assert any(i in sheet.table.marked for i in range(len(sheet.table.rows)))


def test_other_models_have_nothing_to_work_out():
    assert conversion_view(failing()) is None
