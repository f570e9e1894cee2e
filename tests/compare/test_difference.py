"""The comparison by changes says what a comparison cycle by cycle says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.compare import find_difference
from verify.signals import ExpectedTrace, ObservedTrace, Signal, column

WIDTHS = (1, 4, 80)


@st.composite
def traces(draw: st.DrawFn) -> tuple[int, list[list[int]], list[list[tuple[int, int]]], list[list[int]]]:
    """Dense values: expected, observed with unknown bits, and care masks, one list per output."""
    length = draw(st.integers(1, 40))
    expected, observed, cares = [], [], []
    for width in WIDTHS:
        value = st.integers(0, (1 << width) - 1)
        sticky = st.lists(st.tuples(value, st.integers(1, 9)), min_size=1, max_size=8)
        dense = [v for v, n in draw(sticky) for _ in range(n)]
        dense = (dense * length)[:length]
        expected.append(dense)
        flips = draw(st.dictionaries(st.integers(0, length - 1), st.tuples(value, value), max_size=4))
        observed.append([(flips.get(k, (dense[k], 0))) for k in range(length)])
        cares.append(draw(st.sampled_from([[(1 << width) - 1] * length, [1] * length, [0] * length])))
    return length, expected, observed, cares


def _rows(columns: list[list[int]]) -> np.ndarray:
    length = len(columns[0])
    keep = [0, *(k for k in range(1, length) if any(c[k] != c[k - 1] for c in columns))]
    return np.array(keep, np.int64)


@given(traces(), st.integers(0, 3), st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), max_size=3))
def test_comparing_changes_equals_comparing_every_cycle(drawn, delay, spans):  # type: ignore[no-untyped-def]
    length, expected, observed, cares = drawn
    signals = tuple(Signal(f"o{w}", w) for w in WIDTHS)
    spans = [(min(s), max(s)) for s in spans]
    masked = np.array(spans, np.int64).reshape(-1, 2)
    e_rows = _rows([*expected, *cares])
    o_rows = _rows([[a for a, _ in o] for o in observed] + [[b for _, b in o] for o in observed])
    e = ExpectedTrace(
        signals,
        length,
        e_rows,
        tuple(column([x[k] for k in e_rows], w) for x, w in zip(expected, WIDTHS, strict=True)),
        tuple(column([x[k] for k in e_rows], w) for x, w in zip(cares, WIDTHS, strict=True)),
    )
    o = ObservedTrace(
        signals,
        length,
        o_rows,
        tuple(column([x[k][0] for k in o_rows], w) for x, w in zip(observed, WIDTHS, strict=True)),
        tuple(column([x[k][1] for k in o_rows], w) for x, w in zip(observed, WIDTHS, strict=True)),
    )
    found = find_difference(e, o, delays_cycles=[delay] * len(WIDTHS), masked=masked)
    for i in range(len(WIDTHS)):
        wrong, unknown, compared = [], [], 0
        for k in range(delay, length):
            a, b = observed[i][k]
            want, care = expected[i][k - delay], cares[i][k - delay]
            hidden = any(begin <= k < end for begin, end in spans)
            compared += not hidden
            if b & care:
                unknown.append(k)
            if b & care or (not hidden and (a ^ want) & care):
                wrong.append(k)
        assert found.signals[i].first == (wrong[0] if wrong else None)
        assert found.signals[i].first_unknown == (unknown[0] if unknown else None)
        assert found.signals[i].wrong_cycles == len(wrong)
        assert found.signals[i].compared_cycles == compared


def _steady(width: int, value: int, unknown: int = 0) -> tuple[ExpectedTrace, ObservedTrace]:
    signals = (Signal("o", width),)
    zero = np.zeros(1, np.int64)
    return (
        ExpectedTrace(signals, 4, zero, (column([value], width),)),
        ObservedTrace(signals, 4, zero, (column([value], width),), (column([unknown], width),)),
    )


@pytest.mark.parametrize("value", [0, 1])
def test_an_unknown_bit_equals_neither_0_nor_1(value: int) -> None:
    expected, observed = _steady(1, value, unknown=1)
    nothing = np.zeros((0, 2), np.int64)
    found = find_difference(expected, observed, delays_cycles=[0], masked=nothing)
    assert found.first == 0
    assert found.signals[0].first_unknown == 0


def test_an_unknown_bit_counts_even_while_the_pipeline_fills() -> None:
    expected, observed = _steady(1, 1, unknown=1)
    masked = np.array([[0, 4]], np.int64)
    assert find_difference(expected, observed, delays_cycles=[0], masked=masked).first == 0


def test_traces_of_different_outputs_are_not_compared() -> None:
    expected, _ = _steady(1, 0)
    _, observed = _steady(2, 0)
    with pytest.raises(ValueError, match="same outputs"):
        find_difference(expected, observed, delays_cycles=[0], masked=np.zeros((0, 2), np.int64))


def _pair(expected: list[list[int]], observed: list[list[int]]) -> tuple[ExpectedTrace, ObservedTrace]:
    """Dense traces of four-bit outputs, nothing unknown and everything promised."""
    signals = tuple(Signal(f"o{i}", 4) for i in range(len(expected)))
    cycles = np.arange(len(expected[0]))
    return (
        ExpectedTrace(signals, len(cycles), cycles, tuple(column(c, 4) for c in expected)),
        ObservedTrace(signals, len(cycles), cycles, tuple(column(c, 4) for c in observed)),
    )


NOTHING = np.zeros((0, 2), np.int64)


def test_all_that_differ_in_the_first_differing_cycle_are_named_and_no_others() -> None:
    steady = [[1] * 9, [2] * 9, [3] * 9, [4] * 9]
    seen = [[1] * 9, [2, 2, 2, 2, 9, 2, 2, 2, 2], [3, 3, 3, 3, 9, 9, 3, 3, 3], [4] * 8 + [9]]
    found = find_difference(*_pair(steady, seen), delays_cycles=[0] * 4, masked=NOTHING)
    assert found.first == 4
    assert found.wrong_at_first == (1, 2)
    assert found.wrong_cycles == 1 + 2 + 1
    assert not found.matches
    alike = find_difference(*_pair(steady, steady), delays_cycles=[0] * 4, masked=NOTHING)
    assert (alike.first, alike.wrong_at_first, alike.wrong_cycles, alike.matches) == (None, (), 0, True)
    assert [s.first_unknown for s in found.signals] == [None] * 4


def test_what_is_compared_is_what_every_output_is_compared_in() -> None:
    steady = [[1] * 9, [2] * 9]
    masked = np.array([[7, 9]], np.int64)
    found = find_difference(*_pair(steady, steady), delays_cycles=[0, 3], masked=masked)
    assert [s.compared_cycles for s in found.signals] == [7, 4]
    assert found.compared_cycles == 4


def test_each_output_has_a_delay_of_its_own() -> None:
    promised = [list(range(9)), list(range(9))]
    seen = [[15, *range(8)], [15, 15, 15, *range(6)]]
    traces = _pair(promised, seen)
    assert find_difference(*traces, delays_cycles=[1, 3], masked=NOTHING).matches
    assert find_difference(*traces, delays_cycles=[1, 1], masked=NOTHING).signals[1].first == 1
    assert find_difference(*traces, delays_cycles=[3, 3], masked=NOTHING).signals[0].first == 3


@pytest.mark.parametrize(("begin", "first"), [(0, 2), (2, 2), (3, 6), (6, 6), (7, None)])
def test_nothing_before_the_beginning_counts(begin: int, first: int | None) -> None:
    traces = _pair([[1] * 9], [[1, 1, 5, 1, 1, 1, 5, 1, 1]])
    found = find_difference(*traces, delays_cycles=[0], masked=NOTHING, begin=begin)
    assert found.first == first
    assert found.compared_cycles == 9 - begin


def test_the_first_unknown_is_the_first_that_counts() -> None:
    signals = (Signal("o", 4),)
    cycles = np.arange(6)
    expected = ExpectedTrace(signals, 6, cycles, (column([0] * 6, 4),), (column([12] * 6, 4),))
    observed = ObservedTrace(
        signals, 6, cycles, (column([0, 0, 0, 8, 0, 0], 4),), (column([0, 1, 8, 0, 8, 8], 4),)
    )
    masked = np.array([[0, 3]], np.int64)
    shown = find_difference(expected, observed, delays_cycles=[0], masked=masked).signals[0]
    assert (shown.first, shown.first_unknown) == (2, 2)
    later = find_difference(expected, observed, delays_cycles=[0], masked=masked, begin=3).signals[0]
    assert (later.first, later.first_unknown) == (3, 4)
