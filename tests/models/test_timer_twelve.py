"""Clocks of twelve hours: what they show over a day, and what is refused."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from verify.models.display import FAMILY as DISPLAYS
from verify.models.family import OptionError
from verify.models.glyphs import DECIMAL, pattern_of
from verify.models.playing import ResetKind, expect
from verify.models.timer import FAMILY
from verify.signals import Run, Stimulus

MIDNIGHT = datetime(2000, 1, 1)
TWICE_ROUND = 25 * 3600
SHAPE = {"stages": (6, 6, 4), "pm": (1,)}
DIGITS = {"stages": (4, 3, 4, 3, 4, 1), "pm": (1,)}


def shown(model, seconds):
    """Per second the outputs of a clock that steps in every clock."""
    trace, _ = expect(model, Stimulus.of((), [Run(TWICE_ROUND, ())]), ResetKind.SYNCHRONOUS)
    rows = np.searchsorted(trace.cycles, seconds, side="right") - 1
    return [[int(v) for v in column[rows]] for column in trace.values]


def clock(shape, start, **options):
    return FAMILY.candidates(shape, {"ratio": 1, "twelve_hours": True, "start": start, **options}, True)[
        0
    ].model


SECONDS = np.array(
    sorted({*range(0, TWICE_ROUND, 991), *(h * 3600 + d for h in range(1, 25) for d in (-1, 0))})
)


def test_hours_minutes_and_half_of_the_day_are_those_of_the_calendar():
    model = clock(SHAPE, [0, 0, 12], modulo=[60, 60, 12])
    rows = zip(*shown(model, SECONDS), strict=True)
    texts = [f"{h:02}:{m:02}:{s:02} {'PM' if p else 'AM'}" for s, m, h, p in rows]
    assert texts == [f"{MIDNIGHT + timedelta(seconds=int(s)):%I:%M:%S %p}" for s in SECONDS]


def test_digits_say_the_same():
    model = clock(DIGITS, [0, 0, 0, 0, 2, 1], modulo=[10, 6, 10, 6, 10, 2])
    columns = shown(model, SECONDS)
    texts = ["".join(str(d) for d in reversed(row[:6])) for row in zip(*columns, strict=True)]
    assert texts == [f"{MIDNIGHT + timedelta(seconds=int(s)):%I%M%S}" for s in SECONDS]


def test_a_display_shows_the_hours_of_the_clock_and_may_leave_out_their_first_zero():
    shape = {"digits": (7,) * 6}
    options = {
        "ratio": 1,
        "twelve_hours": True,
        "modulo": [60, 60, 12],
        "glyphs": {},
        "leading_zero": "blank",
    }
    (model, *_) = (c.model for c in DISPLAYS.candidates(shape, options, True))
    symbols = {pattern_of(letters): str(i) for i, letters in enumerate(DECIMAL)} | {0: " "}
    texts = ["".join(symbols[w] for w in reversed(row)) for row in zip(*shown(model, SECONDS), strict=True)]
    times = (MIDNIGHT + timedelta(seconds=int(s)) for s in SECONDS)
    assert texts == [f"{int(f'{t:%I}'):2d}{t:%M%S}" for t in times]


def test_a_clock_may_begin_at_one():
    assert [row[0] for row in shown(clock({"stages": (4,)}, [1], modulo=[12]), np.arange(14))] == [1]
    assert shown(clock({"stages": (4,)}, [1], modulo=[12]), np.arange(14))[0] == [*range(1, 13), 1, 2]


@pytest.mark.parametrize(
    ("shape", "options", "message"),
    [
        ({"stages": (4,), "pm": (1,)}, {"modulo": [12]}, "pm: found a port, expected twelve_hours = true"),
        (SHAPE, {"twelve_hours": True, "modulo": [60, 60, 24]}, "twelve_hours: found a slowest stage of 24"),
        (SHAPE, {"twelve_hours": True, "start": [0, 0, 0]}, "start: found 0 hours, expected 1 to 12"),
        (
            {"stages": (6, 6, 3)},
            {"twelve_hours": True},
            r"stages\[2\]: found a port of 3 bits, expected at least 4",
        ),
        ({"stages": (6, 4)}, {"twelve_hours": True}, "modulo: found nothing"),
        ({"hours": (4,)}, {"twelve_hours": True}, "twelve_hours: found with hours, expected stages, or all"),
        ({**SHAPE, "load": (1,)}, {"twelve_hours": True}, "load: found a port beside twelve_hours"),
        (SHAPE, {"twelve_hours": True, "states": 12}, "states: found 12, expected nothing"),
    ],
)
def test_what_no_such_clock_has_is_refused_by_name(shape, options, message):
    with pytest.raises(OptionError, match=message):
        FAMILY.candidates(shape, {"ratio": 1, **options}, True)
