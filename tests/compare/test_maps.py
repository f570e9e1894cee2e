"""What a picture of coverage is drawn from."""

import numpy as np
import pytest

from verify.compare import CoverageCounter
from verify.compare.maps import LONGEST_AXIS, LONGEST_LINE, MapCounter
from verify.models import bcd, counter, display, segments, timer
from verify.models.playing import ResetKind, expect
from verify.signals import Reset, Run, Signal, Stimulus, column


def first(family, shape, **options):
    return family.FAMILY.candidates(shape, options, True)[0].model


def maps_of(model, *stimuli):
    counted = MapCounter(model)
    for stimulus in stimuli:
        counted.add(stimulus, expect(model, stimulus, ResetKind.ASYNCHRONOUS)[0])
    return {found.name: found for found in counted.report()}


def resting(model, cycles):
    values = tuple(model.resting[s.name] for s in model.inputs)
    return Stimulus.of(model.inputs, [Run(cycles, values)])


def reached(found, row, cell):
    return found.count(row, cell) > 0


def test_a_timer_fills_its_field_minute_by_minute():
    model = first(timer, {"seconds": (6,), "minutes": (6,)}, ratio=2)
    found = maps_of(model, resting(model, 2 * 90))["minutes and seconds reached"]
    assert (found.across.name, found.down.name) == ("seconds", "minutes")
    assert sum(found.reached) == 90
    assert reached(found, 0, 59)
    assert reached(found, 1, 29)
    assert not reached(found, 1, 30)


def test_a_whole_trip_fills_every_field():
    model = first(timer, {"stages": (4, 4, 4)}, modulo=[10, 6, 10], ratio=1)
    found = maps_of(model, resting(model, 600))
    assert [(f.total, sum(f.reached)) for f in found.values()] == [(60, 60), (60, 60)]


def test_a_counter_of_two_digits_has_tens_and_ones():
    model = first(counter, {"digits": (4, 3)}, modulo=60, digit_modulo=[10, 6])
    found = maps_of(model, resting(model, 12))["values reached"]
    assert (found.across.values, found.down.values) == (10, 6)
    assert [row for row in range(6) if reached(found, row, 1)] == [0, 1]


def test_a_large_counter_shares_its_cells_and_counts_inside_them():
    model = first(counter, {"count": (10,)}, modulo=1000)
    found = maps_of(model, resting(model, 6))["values reached"]
    assert found.across.cells <= LONGEST_LINE
    assert found.count(0, 0) == found.size(0, 0) == 4
    assert found.count(0, 1) == 2
    assert sum(found.reached) == 6


@pytest.mark.parametrize("width", [8, 40, 70])
def test_a_converter_notes_the_numbers_it_is_given(width):
    model = first(bcd, {"binary": (width,), "bcd": (4 * len(str(2**width - 1)),)})
    given = [0, 1, 1, 2**width - 1]
    stimulus = Stimulus.dense([Signal("binary", width)], [column(given, width)])
    found = maps_of(model, stimulus)["numbers converted"]
    assert sum(found.reached) == 3
    assert found.total == 2**width
    assert reached(found, 0, 0)
    assert reached(found, 0, found.across.cells - 1)


def test_a_decoder_notes_digits_under_each_control():
    model = first(segments, {"digit": (4,), "segments": (7,), "blank": (1,)})
    stimulus = Stimulus.of(model.inputs, [Run(1, (3, 0)), Run(1, (7, 1))])
    found = maps_of(model, stimulus)["digits decoded"]
    assert found.down.labels == ("digit alone", "blank")
    assert [i for i, n in enumerate(found.reached) if n] == [3, 16 + 7]
    assert found.patterns[3] == 0b1001111
    assert found.patterns[16 + 7] == 0


@pytest.mark.parametrize("scanned", [False, True])
def test_a_display_notes_times_and_glyphs(scanned):
    shape = {"segments": (7,), "select": (4,)} if scanned else {"digits": (7,) * 4}
    options = {"ratio": 40, "glyphs": {}, "modulo": [60, 60]}
    if scanned:
        options["scan"] = {"dwell": 5}
    model = first(display, shape, **options)
    found = maps_of(model, resting(model, 40 * 75))
    times, glyphs = found["minutes and seconds reached"], found["digits shown"]
    assert sum(times.reached) == 75
    assert reached(times, 1, 14)
    assert not reached(times, 1, 15)
    ones, tens, minutes, _ = np.reshape(glyphs.reached, (4, 10)).tolist()
    assert ones == [1] * 10
    assert tens == [1] * 6 + [0] * 4
    assert minutes == [1, 1] + [0] * 8
    assert glyphs.patterns[10 + 6] is None


def test_no_field_has_more_cells_than_a_picture_takes():
    model = first(timer, {"stages": (10, 10)}, modulo=[1000, 1000], ratio=1)
    (found,) = maps_of(model, resting(model, 500)).values()
    assert found.across.cells <= LONGEST_AXIS
    assert len(found.reached) <= LONGEST_AXIS**2
    assert sum(found.reached) == 500


def test_glyphs_that_were_measured_later_count_for_all_that_was_shown():
    shape, options = {"digits": (7,) * 4}, {"ratio": 1, "modulo": [60, 60]}
    plain, hooked = (first(display, shape, **options, glyphs=glyphs) for glyphs in ({}, {"7": "abcf"}))
    counted = CoverageCounter(plain)
    counted.follow(hooked)
    stimulus = resting(hooked, 3600)
    counted.add(stimulus, expect(hooked, stimulus, ResetKind.ASYNCHRONOUS)[0])
    found = {m.name: m for m in counted.report().maps}["digits shown"]
    assert sum(found.reached) == sum(pattern is not None for pattern in found.patterns) == 32
    assert all(item.reached == item.total for item in counted.report().items if "values of" in item.name)


def test_a_scanned_display_is_followed_from_window_to_window_and_lost_until_the_next_reset():
    options = {"ratio": 40, "glyphs": {}, "modulo": [60, 60], "scan": {"dwell": 5}}
    model = first(display, {"segments": (7,), "select": (4,)}, **options)
    reset = Stimulus.of((), [Run(2, (), Reset.HELD), Run(998, ())])
    window = Stimulus.of((), [Run(1_000, ())])
    times = maps_of(model, reset, window)["minutes and seconds reached"]
    assert [reached(times, 0, second) for second in (0, 24, 49, 51)] == [True, True, True, False]
    many = Stimulus.of((), [Run(2, (), Reset.HELD)] + [Run(40, ())] * 2_000)
    times = maps_of(model, many, window)["minutes and seconds reached"]
    assert sum(times.reached) == 0
