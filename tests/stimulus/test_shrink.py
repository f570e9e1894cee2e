"""Shrinking keeps the failure and throws away the rest."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from verify.signals import Reset, Run, Signal, Stimulus
from verify.stimulus import shrink


class Sum:
    """Stands in for a golden model: only its inputs matter here."""

    inputs = (Signal("enable", 1), Signal("number", 8))
    outputs = ()
    resting = {"enable": 1, "number": 0}  # noqa: RUF012 -- read only
    limits = {"number": 255}  # noqa: RUF012 -- read only


def fails_at_third_pause(stimulus: Stimulus) -> int | None:
    """Differs on the cycle in which the third pause since the last reset begins."""
    pauses, at = 0, 0
    for run in stimulus.runs():
        if run.reset is not Reset.RELEASED:
            pauses = 0
        elif run.values[0] == 0:
            pauses += 1
            if pauses == 3:
                return at
        at += run.cycles
    return None


RUNS = st.lists(
    st.builds(
        Run,
        st.integers(1, 50),
        st.tuples(st.integers(0, 1), st.integers(0, 255)),
        st.sampled_from(list(Reset)),
    ),
    min_size=1,
    max_size=40,
)


@given(RUNS)
def test_the_shrunk_stimulus_fails_and_is_the_shortest_that_does(runs: list[Run]) -> None:
    stimulus = Stimulus.of(Sum.inputs, [Run(2, (1, 0), Reset.HELD), *runs])
    if fails_at_third_pause(stimulus) is None:
        return
    small = shrink(Sum(), stimulus, fails_at_third_pause, resets=(Reset.HELD, Reset.PULSED), tries=2_000)  # type: ignore[arg-type]
    assert fails_at_third_pause(small) == small.length - 1
    assert small.length == 2 + 3
    assert [run.values for run in small.runs()][1:] == [(0, 0)] * 3


def test_shrinking_stops_after_the_tries_it_was_given() -> None:
    calls = 0

    def fails(stimulus: Stimulus) -> int | None:
        nonlocal calls
        calls += 1
        return stimulus.length - 1

    stimulus = Stimulus.of(Sum.inputs, [Run(9, (k % 2, k)) for k in range(60)])
    shrink(Sum(), stimulus, fails, resets=(), tries=25)  # type: ignore[arg-type]
    assert calls <= 25
