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
    for excused in (False, True):
        found = find_difference(
            e, o, delays_cycles=[delay] * len(WIDTHS), masked=masked, unknown_excused=excused
        )
        for i in range(len(WIDTHS)):
            wrong, compared = [], 0
            for k in range(delay, length):
                a, b = observed[i][k]
                want, care = expected[i][k - delay], cares[i][k - delay]
                hidden = any(begin <= k < end for begin, end in spans)
                compared += not hidden
                if (b & care and not (hidden and excused)) or (not hidden and (a ^ want) & care):
                    wrong.append(k)
            assert found.signals[i].first == (wrong[0] if wrong else None)
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
    excused = find_difference(expected, observed, delays_cycles=[0], masked=masked, unknown_excused=True)
    assert excused.first is None


def test_traces_of_different_outputs_are_not_compared() -> None:
    expected, _ = _steady(1, 0)
    _, observed = _steady(2, 0)
    with pytest.raises(ValueError, match="same outputs"):
        find_difference(expected, observed, delays_cycles=[0], masked=np.zeros((0, 2), np.int64))
