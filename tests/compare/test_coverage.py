"""What a run is believed to have reached: a pass rests on it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from verify.compare import CoverageCounter
from verify.models.catalogue import FAMILIES
from verify.models.playing import ResetKind, expect
from verify.signals import Reset, Run, Stimulus

COUNTER = FAMILIES["counter"].candidates({"count": (5,), "enable": (1,)}, {"modulo": 20}, True)[0].model
DECODER = FAMILIES["segments"].candidates({"digit": (4,), "segments": (7,)}, {}, False)[0].model
MARKS = COUNTER.landmarks()  # type: ignore[attr-defined]


def counted(*runs: Run, model=COUNTER) -> CoverageCounter:  # type: ignore[no-untyped-def]
    counter = CoverageCounter(model)
    stimulus = Stimulus.of(model.inputs, runs)
    counter.add(stimulus, expect(model, stimulus, ResetKind.SYNCHRONOUS)[0])
    return counter


some_runs = st.lists(
    st.builds(Run, st.integers(1, 12), st.tuples(st.integers(0, 1)), st.sampled_from(Reset)),
    min_size=1,
    max_size=12,
)


@given(some_runs)
def test_a_landmark_is_reached_by_so_many_clocks_of_rest_since_one_reset(runs: list[Run]) -> None:
    longest = moved = 0
    for run in runs:
        moved = 0 if run.reset is not Reset.RELEASED else moved + run.cycles * run.values[0]
        longest = max(longest, moved)
    assert counted(*runs).unreached_landmarks() == tuple(mark for mark in MARKS if mark > longest)


def test_two_stimuli_are_two_ways_and_not_one_long_one() -> None:
    counter = counted(Run(2, (1,), Reset.HELD), Run(12, (1,)))
    stimulus = Stimulus.of(COUNTER.inputs, [Run(2, (1,), Reset.HELD), Run(12, (1,))])
    counter.add(stimulus, expect(COUNTER, stimulus, ResetKind.SYNCHRONOUS)[0])
    assert counter.unreached_landmarks() == tuple(mark for mark in MARKS if mark > 12)
    assert any(mark > 12 for mark in MARKS)


def test_outputs_that_were_never_asked_to_change_say_nothing() -> None:
    assert CoverageCounter(COUNTER).idle
    assert counted(Run(9, (1,), Reset.HELD), Run(30, (0,))).idle
    assert not counted(Run(9, (1,), Reset.HELD), Run(2, (1,))).idle


def test_what_has_no_state_has_no_landmarks() -> None:
    assert counted(Run(1, (3,)), model=DECODER).unreached_landmarks() == ()


def test_values_that_were_not_reached_are_counted_and_named() -> None:
    items = {item.name: item for item in counted(Run(2, (1,), Reset.HELD), Run(16, (1,))).report().items}
    reached = items["rollovers"]
    assert (reached.reached, reached.total) == (sum(mark <= 16 for mark in MARKS), len(MARKS))
    values = items["values of count"]
    assert (values.reached, values.total) == (16, 20)
    assert values.missing == ("16", "17", "18", "19")
    digits = {item.name: item for item in counted(Run(1, (3,)), Run(1, (15,)), model=DECODER).report().items}
    assert (digits["values of digit"].reached, digits["values of digit"].total) == (2, 16)
    assert digits["values of digit"].missing == ("0", "1", "2", "4", "5", "6", "8 more")


def test_a_reset_counts_for_the_value_that_it_interrupts() -> None:
    counter = counted(Run(2, (1,), Reset.HELD), Run(5, (1,)), Run(1, (1,), Reset.HELD), Run(3, (1,)))
    item = next(item for item in counter.report().items if item.name == "reset at values of count")
    assert item.reached == 2  # 0, where the stimulus opens, and 4
    enable = counted(Run(2, (1,), Reset.HELD), Run(5, (1,)), Run(1, (0,)), Run(3, (1,)), Run(2, (0,)))
    item = next(item for item in enable.report().items if item.name == "enable at values of count")
    assert item.reached == 2


DIGITS = FAMILIES["counter"].candidates({"digits": (4, 4)}, {"digit_modulo": (10, 6)}, True)[0].model


def test_an_output_that_no_reset_ever_moved_is_named() -> None:
    def moved(*runs: Run) -> tuple[int, int, tuple[str, ...]]:
        counter = counted(Run(2, (), Reset.HELD), *runs, Run(1, (), Reset.HELD), Run(1, ()), model=DIGITS)
        item = next(i for i in counter.report().items if i.name == "outputs that a reset moved")
        return item.reached, item.total, item.missing

    assert moved(Run(7, ())) == (1, 2, ("digits[1]",))
    assert moved(Run(17, ())) == (2, 2, ())
    assert moved(Run(61, ())) == (0, 2, ("digits[0]", "digits[1]"))
