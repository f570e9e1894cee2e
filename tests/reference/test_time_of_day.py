"""A timer's hours, minutes and seconds against the calendar arithmetic of Python's own library."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from verify.models.catalogue import FAMILIES
from verify.models.playing import ResetKind, expect
from verify.signals import Run, Stimulus

NAMES = {"seconds": (6,), "minutes": (6,), "hours": (7,)}


def played(model, cycles: int):
    return expect(model, Stimulus.of((), [Run(cycles)]), ResetKind.ASYNCHRONOUS)[0]


def shown(trace) -> list[tuple[int, ...]]:
    return list(zip(*(c.tolist() for c in trace.values), strict=True))


def as_time(seconds: int) -> tuple[int, int, int]:
    """seconds, minutes and hours from the text that ``datetime.timedelta`` makes."""
    text = str(timedelta(seconds=seconds))
    days, _, clock = text.rpartition(" ")
    hours, minutes, second = (int(part) for part in clock.split(":"))
    return second, minutes, hours + 24 * int(days.split()[0] if days else 0)


def test_every_second_of_a_hundred_hours_reads_as_timedelta_reads():
    # Source: datetime.timedelta of the Python standard library, normalised days, hours:minutes:seconds.
    model = FAMILIES["timer"].candidates(NAMES, {"ratio": 12_000_000}, True)[0].model
    trace = played(model, 100 * 3600 * 12_000_000)
    assert shown(trace) == [as_time(second) for second in range(100 * 3600)]
    assert (np.diff(trace.cycles) == 12_000_000).all()


def test_a_day_of_24_hours_starts_again_at_midnight():
    # Source: datetime.timedelta, whose hours are those of a day.
    options = {"ratio": 1, "modulo": [60, 60, 24], "start": [0, 0, 12]}
    model = FAMILIES["timer"].candidates(NAMES, options, True)[0].model
    day = [as_time((43_200 + second) % 86_400) for second in range(2 * 86_400)]
    assert shown(played(model, 2 * 86_400)) == day


def test_counting_down_from_a_time_is_subtracting_from_it():
    # Source: datetime.timedelta subtraction.
    options = {"ratio": 3, "direction": "down", "at_end": "stop", "start": [7, 2, 1]}
    model = FAMILIES["timer"].candidates(NAMES, options, True)[0].model
    start = timedelta(hours=1, minutes=2, seconds=7)
    total = int(start.total_seconds())
    expected = [as_time(int((start - timedelta(seconds=s)).total_seconds())) for s in range(total + 1)]
    assert shown(played(model, 3 * total + 1000)) == expected


@pytest.mark.parametrize("frequency_hz", [1, 2, 32_768, 12_000_000, 50_000_000, 100_000_000])
def test_the_terminal_count_of_a_one_second_divider_is_the_frequency_less_one(frequency_hz):
    # Common practice, no source: a counter of n clocks runs from 0 to n - 1.
    for candidate in FAMILIES["divider"].candidates({"tick": (1,)}, {"ratio": frequency_hz}, True):
        model = candidate.model
        seconds = model.leap(model.initial(), (), 10 * frequency_hz + 2)
        if frequency_hz > 1:
            ticks = seconds.offsets[seconds.columns[0] == 1]
            assert (np.diff(ticks) == frequency_hz).all()
            terminal = model.leap(model.initial(), (), frequency_hz - 1).state
            assert terminal[0] == frequency_hz - 1
