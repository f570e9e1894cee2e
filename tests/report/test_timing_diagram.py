from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from specimens import excerpt

from verify.report.diagram import timing_diagram
from verify.results import Excerpt
from verify.signals import ExpectedTrace, ObservedTrace, Reset, Run, Signal, Stimulus, column


def drawn(picture, cycle=None, width=80):
    return [each.plain for each in timing_diagram(picture, cycle, width)]


def one_output(expected, observed, *, unknown=None, cares=None, masked=(), first=0, role="count", width=4):
    """An excerpt of one output, a value per cycle; the stimulus is a lone enable that never moves."""
    signal, cycles = Signal(role, width), np.arange(len(expected), dtype=np.int64)
    return Excerpt(
        first,
        Stimulus.of([Signal("enable", 1)], [Run(len(expected), (1,))]),
        ExpectedTrace(
            (signal,),
            len(expected),
            cycles,
            (column(expected, width),),
            None if cares is None else (column(cares, width),),
        ),
        ObservedTrace(
            (signal,),
            len(observed),
            cycles,
            (column(observed, width),),
            None if unknown is None else (column(unknown, width),),
        ),
        tuple(masked),
    )


def row(lines, label):
    return next(line for line in lines if line.strip().startswith(label))


def cells(line):
    """The text of each cell, by the edges that close them; a gap belongs to none."""
    return [cell.replace("⋯", "").strip() for cell in line[16:].split("│")[:-1]]


def test_every_column_ends_at_its_clock_edge():
    lines = drawn(excerpt(), 1200)
    ticks = [at for at, character in enumerate(row(lines, "edge")) if character == "┼"]
    for label in ("cycle", "enable", "expected", "observed"):
        assert [at for at, character in enumerate(row(lines, label)) if character == "│"] == ticks


def test_the_mark_stands_under_the_cycle_that_differs():
    lines = drawn(excerpt(), 1200)
    at = next(line.index("▲") for line in lines if "▲" in line)
    assert row(lines, "cycle")[: at + 1].endswith("1200")
    assert row(lines, "expected")[at] == "5"
    assert row(lines, "observed")[at] == "4"


def test_an_output_that_matches_is_shown_once_and_said_to_match():
    lines = drawn(excerpt(), 1200)
    assert row(lines, "sec_ones =")
    assert "= as expected" in lines[-1]


def test_a_pipeline_that_fills_is_not_compared():
    picture = one_output([1, 1, 1, 1], [9, 9, 1, 2], masked=[(0, 2)])
    lines = drawn(picture)
    assert cells(row(lines, "expected")) == ["~", "·", "1", "1"]
    assert "".join(lines).count("▲") == 1


def test_an_unknown_value_differs_from_everything():
    picture = one_output([0, 0, 0], [0, 15, 0], unknown=[0, 15, 15])
    assert cells(row(drawn(picture), "observed")) == ["0", "x", "z"]
    assert sum(line.count("▲") for line in drawn(picture)) == 2


def test_a_bit_that_is_not_promised_never_differs():
    picture = one_output([0, 0, 0], [0, 8, 1], cares=[7, 7, 7])
    assert sum(line.count("▲") for line in drawn(picture)) == 1


def test_cycles_in_which_nothing_changes_are_left_out():
    expected = [3] * 60 + [4] + [5] * 20
    observed = [3] * 60 + [7] + [5] * 20
    lines = drawn(one_output(expected, observed))
    assert "⋯" in row(lines, "observed")
    assert cells(row(lines, "cycle"))[:2] == ["0", "59"] or cells(row(lines, "cycle"))[0] == "59"


def test_high_cycle_numbers_count_from_the_difference():
    lines = drawn(one_output([0] * 5, [0, 0, 0, 1, 0], first=123_456_789))
    assert cells(row(lines, "cycle"))[-2:] == ["0", "+1"]
    assert any("cycle 0" in line and "123,456,792" in line for line in lines)


@pytest.mark.parametrize(("pulse", "letter"), [(Reset.PULSED, "P"), (Reset.PULSED_EARLY, "p")])
def test_a_reset_pulse_between_edges_is_marked_in_its_cycle_only(pulse, letter):
    picture = excerpt(pulse=pulse)
    bent = Excerpt(
        picture.first,
        Stimulus.of([Signal("enable", 1)], [Run(12, (1,)), Run(4, (1,), pulse)]),
        picture.expected,
        picture.observed,
        picture.masked,
        picture.ports,
    )
    lines = drawn(bent, 1200)
    assert "".join(set(row(lines, "reset")) & {"P", "p"}) == letter
    assert row(lines, "reset").count(letter) == 1


def test_an_excerpt_without_a_difference_draws_nothing():
    assert drawn(one_output([1, 2, 3], [1, 2, 3])) == []


def test_segment_lines_are_shown_bit_by_bit():
    lines = drawn(one_output([0b0111111, 0b0000110], [0b0111111, 0b0000111], role="segments", width=7))
    assert "0000110" in row(lines, "expected")
    assert "0000111" in row(lines, "observed")


def test_an_active_low_port_is_shown_with_the_levels_of_its_wire():
    signal, cycles = Signal("done", 1), np.arange(3, dtype=np.int64)
    picture = Excerpt(
        0,
        Stimulus.of([Signal("enable", 1)], [Run(1, (1,)), Run(2, (0,))]),
        ExpectedTrace((signal,), 3, cycles, (column([0, 1, 1], 1),)),
        ObservedTrace((signal,), 3, cycles, (column([0, 0, 1], 1),), (column([0, 0, 1], 1),)),
        (),
        {"enable": "pause", "done": "done_n"},
        frozenset({"enable", "done"}),
    )
    lines = drawn(picture)
    assert cells(row(lines, "pause")) == ["0", "1", "·"]
    assert cells(row(lines, "expected")) == ["1", "0", "0"]
    assert cells(row(lines, "observed")) == ["1", "1", "x"]


VALUES = st.lists(st.integers(0, 15), min_size=1, max_size=200)


@given(VALUES, st.data(), st.integers(40, 120), st.sampled_from([0, 5, 999_999]))
def test_the_first_difference_is_always_drawn_and_nothing_is_too_wide(expected, data, width, first):
    observed = list(expected)
    for at in data.draw(st.lists(st.integers(0, len(expected) - 1), min_size=1, max_size=4)):
        observed[at] ^= data.draw(st.integers(1, 15))
    wrong = [k for k, (want, have) in enumerate(zip(expected, observed, strict=True)) if want != have]
    lines = drawn(one_output(expected, observed, first=first), None, width)
    if not wrong:
        assert lines == []
        return
    assert all(len(line) <= width for line in lines)
    marked = [at for at, character in enumerate(next(x for x in lines if "▲" in x)) if character == "▲"]
    for at in marked:
        assert row(lines, "expected")[at - 2 : at + 1] != row(lines, "observed")[at - 2 : at + 1]
    heads = cells(row(lines, "cycle"))
    assert ("0" if any("cycle 0" in line for line in lines) else str(first + wrong[0])) in heads


@given(VALUES, VALUES, st.integers(40, 120))
def test_what_is_drawn_says_what_the_traces_say(expected, observed, width):
    length = min(len(expected), len(observed))
    expected, observed = expected[:length], observed[:length]
    lines = drawn(one_output(expected, observed), None, width)
    if not lines:
        return
    numbers = [int(head) for head in cells(row(lines, "cycle"))]
    for label, values in (("expected", expected), ("observed", observed)):
        current = None
        for cycle, cell in zip(numbers, cells(row(lines, label)), strict=True):
            current = current if cell == "·" else int(re.sub(r"\D", "", cell))
            assert current == values[cycle]
