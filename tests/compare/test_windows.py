"""Cutting, joining and delaying traces by their changes is what it is cycle by cycle."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.compare import cut_expected, cut_observed, cut_stimulus, delayed
from verify.compare.windows import joined_expected, joined_observed
from verify.signals import Column, ExpectedTrace, ObservedTrace, Reset, Run, Signal, Stimulus, column

SIGNALS = (Signal("a", 3), Signal("wide", 70))
Trace = TypeVar("Trace", ExpectedTrace, ObservedTrace)
Row = tuple[int, int, int, int]
"""Value and mask of ``a``, value and mask of ``wide``."""


@st.composite
def rows(draw: st.DrawFn) -> list[Row]:
    word = st.tuples(st.integers(0, 7), st.integers(0, 7), st.integers(0, 1 << 69), st.integers(0, 3))
    return [
        r
        for r, n in draw(st.lists(st.tuples(word, st.integers(1, 6)), min_size=1, max_size=7))
        for _ in range(n)
    ]


def trace_of(kind: type[Trace], dense: list[Row], *, masked: tuple[bool, bool]) -> Trace:
    """By its changes; a signal that is not ``masked`` has no mask, and both of them without have no masks."""
    cycles = [k for k, row in enumerate(dense) if k == 0 or row != dense[k - 1]]
    values = tuple(column([dense[k][2 * i] for k in cycles], s.width) for i, s in enumerate(SIGNALS))
    masks = tuple(
        column([dense[k][2 * i + 1] for k in cycles], s.width) if masked[i] else None
        for i, s in enumerate(SIGNALS)
    )
    return kind(SIGNALS, len(dense), np.array(cycles, np.int64), values, masks if any(masked) else None)


def dense_of(trace: ExpectedTrace | ObservedTrace) -> list[Row]:
    """Cycle by cycle; no mask: all bits are promised, and none is unknown."""
    masks = trace.cares if isinstance(trace, ExpectedTrace) else trace.unknown
    default = [s.mask if isinstance(trace, ExpectedTrace) else 0 for s in SIGNALS]
    assert trace.cycles[0] == 0
    assert (np.diff(trace.cycles) > 0).all()

    def at(values: Column | None, row: int, i: int) -> int:
        return default[i] if values is None else int(values[row])

    found = []
    for cycle in range(trace.length):
        row = int(np.searchsorted(trace.cycles, cycle, "right")) - 1
        a, wide = (at(None if masks is None else masks[i], row, i) for i in range(2))
        found.append((int(trace.values[0][row]), a, int(trace.values[1][row]), wide))
    return found


masks = st.tuples(st.booleans(), st.booleans())


@pytest.mark.parametrize("kind", [ExpectedTrace, ObservedTrace])
@given(dense=rows(), masked=masks, data=st.data())
def test_a_piece_of_a_trace_is_what_the_trace_is_there(kind, dense, masked, data) -> None:  # type: ignore[no-untyped-def]
    trace = trace_of(kind, dense, masked=masked)
    first = data.draw(st.integers(0, len(dense) - 1))
    last = data.draw(st.integers(first, len(dense) - 1))
    cut = (cut_expected if kind is ExpectedTrace else cut_observed)(trace, first, last)
    assert cut.length == last - first + 1
    assert dense_of(cut) == dense_of(trace)[first : last + 1]


@pytest.mark.parametrize("kind", [ExpectedTrace, ObservedTrace])
@given(before=rows(), after=rows(), how=st.tuples(masks, masks))
def test_two_traces_joined_are_the_one_and_then_the_other(kind, before, after, how) -> None:  # type: ignore[no-untyped-def]
    one, other = (trace_of(kind, dense, masked=m) for dense, m in zip((before, after), how, strict=True))
    whole = (joined_expected if kind is ExpectedTrace else joined_observed)(one, other)
    assert whole.length == len(before) + len(after)
    assert dense_of(whole) == dense_of(one) + dense_of(other)


@given(dense=rows(), masked=masks, delays=st.tuples(st.integers(0, 5), st.integers(0, 5)))
def test_a_delayed_output_promises_nothing_before_its_first_value(dense, masked, delays) -> None:  # type: ignore[no-untyped-def]
    trace = trace_of(ExpectedTrace, dense, masked=masked)
    plain, late = dense_of(trace), dense_of(delayed(trace, delays))
    assert len(late) == len(plain)
    for cycle, row in enumerate(late):
        for i, delay in enumerate(delays):
            value, care = row[2 * i : 2 * i + 2]
            before = plain[max(cycle - delay, 0)][2 * i : 2 * i + 2]
            assert (value, care) == (before if cycle >= delay else (before[0], 0))


@given(
    runs=st.lists(
        st.builds(Run, st.integers(1, 4), st.tuples(st.integers(0, 3)), st.sampled_from(Reset)), min_size=1
    ),
    data=st.data(),
)
def test_a_piece_of_a_stimulus_drives_what_the_stimulus_drives_there(runs, data) -> None:  # type: ignore[no-untyped-def]
    def per_cycle(stimulus: Stimulus) -> list[tuple[int, Reset]]:
        return [
            (run.values[0], run.reset if run.reset is Reset.HELD or n == 0 else Reset.RELEASED)
            for run in stimulus.runs()
            for n in range(run.cycles)
        ]

    whole = Stimulus.of((Signal("d", 2),), runs)
    first = data.draw(st.integers(0, whole.length - 1))
    last = data.draw(st.integers(first, whole.length - 1))
    assert per_cycle(cut_stimulus(whole, first, last)) == per_cycle(whole)[first : last + 1]
