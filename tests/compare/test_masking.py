"""Reset excuses exactly the cycles in which a pipeline fills."""

from __future__ import annotations

import itertools

import pytest

from verify.compare import uncompared_cycles
from verify.models.playing import ResetKind
from verify.signals import Reset, Run, Signal, Stimulus

DATA = (Signal("d", 8),)


def _pipeline(stimulus: Stimulus, latency: int, kind: ResetKind) -> list[tuple[int, ...]]:
    """What a shift register of ``latency`` stages that reset sets to 200 shows in each cycle,
    next to what an unreset one shows: cycle by cycle, straight from the definition.
    """
    flushed, kept = [200] * latency, [200] * latency
    shown = []
    for run in stimulus.runs():
        for n in range(run.cycles):
            held = run.reset is Reset.HELD
            now = held or (run.reset.pulsed and n == 0)
            if now and kind is ResetKind.ASYNCHRONOUS:
                flushed = [200] * latency
            shown.append((([run.values[0], *flushed])[latency], ([run.values[0], *kept])[latency]))
            flushed = [200] * latency if held else [run.values[0], *flushed][:latency]
            kept = [run.values[0], *kept][:latency]
    return shown


@pytest.mark.parametrize("kind", list(ResetKind))
@pytest.mark.parametrize("latency", range(9))
def test_outside_the_excused_cycles_a_flushed_pipeline_shows_the_delayed_value(
    kind: ResetKind, latency: int
) -> None:
    for at, reset, length in itertools.product(
        range(12, 24), (Reset.HELD, Reset.PULSED, Reset.PULSED_EARLY), (1, 2, 3)
    ):
        runs = [Run(1, (k % 190,)) for k in range(at)]
        runs.append(Run(length, (190,), reset))
        runs += [Run(1, (100 + k,)) for k in range(20)]
        stimulus = Stimulus.of(DATA, runs)
        spans = uncompared_cycles(stimulus, kind, latency_cycles=latency)
        excused = {k for begin, end in spans for k in range(begin, end)}
        flushed = {
            k for k, (a, b) in enumerate(_pipeline(stimulus, latency, kind)) if a != b and k >= latency
        }
        assert flushed <= excused
        if latency:
            assert excused <= set(range(at, at + length + latency))


def test_a_longer_settling_time_from_the_bench_excuses_more() -> None:
    stimulus = Stimulus.of(DATA, [Run(5, (0,)), Run(2, (0,), Reset.HELD), Run(20, (0,))])
    spans = uncompared_cycles(stimulus, ResetKind.ASYNCHRONOUS, latency_cycles=1, settle_cycles=4)
    assert spans.tolist() == [[5, 11]]


def test_an_output_without_latency_is_never_excused() -> None:
    stimulus = Stimulus.of(DATA, [Run(5, (0,), Reset.HELD), Run(3, (0,), Reset.PULSED)])
    for kind in (ResetKind.ASYNCHRONOUS, ResetKind.SYNCHRONOUS):
        assert len(uncompared_cycles(stimulus, kind, latency_cycles=0)) == 0


def test_of_a_mixed_reset_only_the_first_cycle_is_excused_without_a_latency() -> None:
    runs = [Run(5, (0,)), Run(2, (0,), Reset.HELD), Run(2, (1,), Reset.HELD), Run(9, (0,))]
    spans = uncompared_cycles(Stimulus.of(DATA, runs), ResetKind.MIXED, latency_cycles=0)
    assert spans.tolist() == [[5, 6]]


def test_the_cycle_before_an_opening_synchronous_reset_acts_is_not_compared() -> None:
    stimulus = Stimulus.of(DATA, [Run(3, (0,), Reset.HELD), Run(9, (0,))])
    for kind, spans in ((ResetKind.SYNCHRONOUS, [[0, 1]]), (ResetKind.ASYNCHRONOUS, [])):
        found = uncompared_cycles(stimulus, kind, latency_cycles=0, opens_unreset=True)
        assert found.tolist() == spans


HELD, PULSED = Reset.HELD, Reset.PULSED


@pytest.mark.parametrize(
    ("kind", "reset", "cycles", "spans"),
    [
        (ResetKind.ASYNCHRONOUS, HELD, 1, [[7, 10]]),
        (ResetKind.ASYNCHRONOUS, HELD, 4, [[7, 13]]),
        (ResetKind.ASYNCHRONOUS, PULSED, 4, [[7, 9]]),  # its own edge takes data in
        (ResetKind.SYNCHRONOUS, HELD, 1, [[8, 10]]),
        (ResetKind.SYNCHRONOUS, HELD, 4, [[8, 13]]),
        (ResetKind.SYNCHRONOUS, PULSED, 4, []),  # it is never seen
        (ResetKind.MIXED, HELD, 1, [[7, 10]]),
        (ResetKind.MIXED, HELD, 4, [[7, 13]]),
    ],
)
def test_not_a_cycle_more_is_excused_than_a_reset_of_that_kind_can_touch(
    kind: ResetKind, reset: Reset, cycles: int, spans: list[list[int]]
) -> None:
    stimulus = Stimulus.of(DATA, [Run(7, (0,)), Run(cycles, (0,), reset), Run(9, (0,))])
    assert uncompared_cycles(stimulus, kind, latency_cycles=2).tolist() == spans


def test_a_settling_time_below_the_latency_excuses_no_less_than_the_latency() -> None:
    stimulus = Stimulus.of(DATA, [Run(7, (0,)), Run(2, (0,), HELD), Run(9, (0,))])
    found = uncompared_cycles(stimulus, ResetKind.ASYNCHRONOUS, latency_cycles=3, settle_cycles=1)
    assert found.tolist() == [[7, 12]]


def test_only_a_held_reset_opens_a_stimulus_with_a_cycle_that_is_not_compared() -> None:
    stimulus = Stimulus.of(DATA, [Run(3, (0,), PULSED), Run(9, (0,))])
    assert len(uncompared_cycles(stimulus, ResetKind.SYNCHRONOUS, latency_cycles=0, opens_unreset=True)) == 0
