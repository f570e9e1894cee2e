"""The scan of a display: its one-cycle form, its leap, and what is read off the select lines."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from verify.models.scan import DARK, FILLING, Scan
from verify.models.scan_reading import SelectLines, measure_scan, phase_of, stuck_at
from verify.signals import ObservedTrace, Reset, Run, Signal, Stimulus, column


@st.composite
def scans(draw):
    digits, dwell = draw(st.integers(1, 6)), draw(st.integers(1, 7))
    continues = draw(st.booleans())
    return Scan(
        digits,
        dwell,
        blanking=draw(st.integers(0, dwell - 1)),
        first=draw(st.integers(0, digits - 1)),
        descending=draw(st.booleans()),
        start=draw(st.integers(0, digits * dwell - 1)),
        fill=draw(st.integers(0, 4)),
        pauses=not continues and draw(st.booleans()),
        clears=not continues and draw(st.booleans()),
        continues=continues,
    )


def turn_of(scan, state):
    digit, lit = scan.at(state[1])
    return FILLING if state[0] else digit if lit else DARK


@settings(deadline=None)
@given(scans(), st.lists(st.tuples(st.integers(1, 40), st.booleans(), st.booleans()), min_size=1, max_size=5))
def test_the_leap_of_a_scan_is_its_one_cycle_form_repeated(scan, runs):
    state = scan.initial()
    for cycles, enable, clear in runs:
        track = scan.track(state, int(enable), int(clear), cycles)
        turns = []
        for _ in range(cycles):
            turns.append(turn_of(scan, state))
            state = scan.next(state, int(enable), int(clear))
        assert track.state == state
        assert track.offsets[0] == 0
        assert (np.diff(track.offsets) > 0).all()
        rows = np.searchsorted(track.offsets, np.arange(cycles), side="right") - 1
        assert track.turns[rows].tolist() == turns


@given(scans())
def test_every_digit_is_served_once_in_every_period(scan):
    turns = [turn_of(scan, (0, position)) for position in range(scan.period)]
    lit = scan.dwell - scan.blanking
    assert sorted(t for t in turns if t != DARK) == sorted(list(range(scan.digits)) * lit)


def observed(scan, lines, cycles, latency=0, reset_cycles=3):
    """Selects as a design has them: reset, then the scan ``latency`` clocks late, none before."""
    held = [Run(reset_cycles, (), Reset.HELD)] if reset_cycles else []
    stimulus = Stimulus.of((), [*held, Run(cycles, ())])
    words, state = [0] * (reset_cycles + latency), scan.initial()
    for _ in range(cycles - latency):
        turn = turn_of(scan, state)
        words.append(1 << turn if turn >= 0 else 0)
        state = scan.next(state, 1, 0)
    signal = Signal("select", lines.digits)
    values = column([lines.word(w) for w in words], lines.digits)
    return stimulus, ObservedTrace((signal,), len(words), np.arange(len(words)), (values,))


@settings(deadline=None)
@given(scans(), st.booleans(), st.integers(0, 3), st.integers(0, 4))
def test_a_scan_is_measured_whatever_its_phase_and_latency(scan, low, late, latency):
    """The measured scan, played at ``latency``, is the observed one wherever it is promised."""
    scan = Scan(scan.digits, scan.dwell, scan.blanking, scan.first, scan.descending, scan.start)
    if scan.digits == 1:
        return
    lines = SelectLines(scan.digits, low)
    stimulus, trace = observed(scan, lines, 4 * scan.period + 20, late)
    measured = measure_scan(lines, stimulus, trace, 0, dwell=None, blanking=None)
    assert (measured.scan.dwell, measured.scan.blanking) == (scan.dwell, scan.blanking)
    found = measured.delayed(latency)
    state, digits = found.initial(), lines.digit(trace.values[0], None)
    promised = 0
    for cycle in range(trace.length - 3 - latency):
        turn = turn_of(found, state)
        if turn != FILLING:
            promised += 1
            expected = turn if turn >= 0 else -1
            # before the first slot begins the select may still be at its reset value
            if cycle + latency >= late:
                assert digits[3 + cycle + latency] == expected
        state = found.next(state, 1, 0)
    assert promised >= trace.length - 3 - latency - 8


def test_a_pinned_dwell_is_not_measured():
    scan, lines = Scan(4, 5), SelectLines(4)
    stimulus, trace = observed(scan, lines, 60)
    measured = measure_scan(lines, stimulus, trace, 0, dwell=6, blanking=1)
    assert (measured.scan.dwell, measured.scan.blanking) == (6, 1)


def test_a_select_that_stands_still_cannot_be_measured():
    lines = SelectLines(4)
    stimulus, trace = observed(Scan(4, 1000), lines, 900)
    assert measure_scan(lines, stimulus, trace, 0, dwell=None, blanking=None) is None
    assert stuck_at(lines, stimulus, trace, 0)


def test_a_single_step_is_that_of_a_slow_scan_until_it_has_stood_for_much_longer():
    lines = SelectLines(4)
    stimulus, trace = observed(Scan(4, 600), lines, 900)
    assert measure_scan(lines, stimulus, trace, 0, dwell=None, blanking=None) is None
    assert stuck_at(lines, stimulus, trace, 0)
    longer = Stimulus.of((), [Run(2, (), Reset.HELD), Run(1900, ())])
    stopped = ObservedTrace(trace.signals, longer.length, trace.cycles, trace.values)
    assert not stuck_at(lines, longer, stopped, 0)


@pytest.mark.parametrize("word", [0, 0b0011, 0b1111])
def test_a_select_that_never_selects_one_digit_does_not_stand_still_at_one(word):
    lines = SelectLines(4)
    stimulus = Stimulus.of((), [Run(2, (), Reset.HELD), Run(50, ())])
    trace = ObservedTrace((Signal("select", 4),), 52, np.zeros(1, np.int64), (column([word], 4),))
    assert not stuck_at(lines, stimulus, trace, 0)


@given(scans(), st.integers(0, 50))
def test_the_place_of_a_scan_is_found_without_a_reset(scan, position):
    if scan.digits == 1:
        return
    scan = Scan(scan.digits, scan.dwell, scan.blanking, scan.first, scan.descending, position % scan.period)
    lines = SelectLines(scan.digits)
    _, trace = observed(scan, lines, 2 * scan.period + 2, reset_cycles=0)
    assert phase_of(scan, lines, trace, 0) == scan.start
