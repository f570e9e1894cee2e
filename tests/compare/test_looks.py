"""What the digits of a display look like where it goes wrong."""

import numpy as np
import pytest

from verify.compare import delayed
from verify.compare.looks import display_look
from verify.models import counter, display, segments
from verify.models.glyphs import DECIMAL, pattern_of
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Run, Stimulus, column

GLYPHS = [pattern_of(letters) for letters in DECIMAL]


def first(family, shape, **options):
    return family.FAMILY.candidates(shape, options, True)[0].model


def played(model, stimulus):
    expected = delayed(expect(model, stimulus, ResetKind.ASYNCHRONOUS)[0], [0] * len(model.outputs))
    return expected, ObservedTrace(expected.signals, expected.length, expected.cycles, expected.values)


def changed(observed, index, change, unknown=None):
    """The observation with one output changed in every row."""
    values = list(observed.values)
    values[index] = column([change(int(v)) for v in values[index]], observed.signals[index].width)
    columns = None
    if unknown is not None:
        columns = [None] * len(values)
        columns[index] = column([unknown] * len(observed.cycles), observed.signals[index].width)
        columns = tuple(columns)
    return ObservedTrace(observed.signals, observed.length, observed.cycles, tuple(values), columns)


def look_of(model, expected, observed, cycle):
    ports = {s.name: f"port_{s.name}" for s in model.outputs}
    return display_look(model, expected, observed, cycle, ports)


@pytest.mark.parametrize("active", ["high", "low"])
@pytest.mark.parametrize("order", ["a_lsb", "a_msb"])
def test_a_decoder_shows_the_glyph_and_what_is_lit_instead(active, order):
    model = first(segments, {"digit": (4,), "segments": (7,)}, active=active, order=order, glyphs={})
    expected, observed = played(model, Stimulus.of(model.inputs, [Run(3, (5,))]))
    segment_f = 5 if order == "a_lsb" else 1
    wrong = changed(observed, 0, lambda word: word ^ 1 << segment_f)
    (digit,) = look_of(model, expected, wrong, 1).digits
    assert digit.expected == GLYPHS[5]
    assert digit.observed == GLYPHS[5] & ~pattern_of("f")
    assert digit.differs
    assert digit.port == "port_segments"


def test_a_decoder_with_a_port_for_each_segment_is_one_digit():
    model = first(segments, {"digit": (4,), "segment_ports": (1,) * 7}, glyphs={})
    expected, observed = played(model, Stimulus.of(model.inputs, [Run(1, (4,))]))
    (digit,) = look_of(model, expected, changed(observed, 0, lambda word: word ^ 1), 0).digits
    assert (digit.expected, digit.observed) == (GLYPHS[4], GLYPHS[4] | pattern_of("a"))


def test_an_unknown_segment_is_neither_lit_nor_dark():
    model = first(segments, {"digit": (4,), "segments": (7,)}, glyphs={}, active="low")
    expected, observed = played(model, Stimulus.of(model.inputs, [Run(1, (8,))]))
    (digit,) = look_of(model, expected, changed(observed, 0, lambda word: word, unknown=1), 0).digits
    assert digit.unknown == pattern_of("a")
    assert digit.observed == GLYPHS[8] & ~pattern_of("a")
    assert digit.differs


@pytest.mark.parametrize("packed", [False, True])
def test_a_static_display_shows_every_digit(packed):
    shape = {"segments": (28,)} if packed else {"digits": (7,) * 4}
    model = first(display, shape, ratio=1, glyphs={}, modulo=[60, 60], active="low")
    expected, observed = played(model, Stimulus.of((), [Run(75, ())]))
    look = look_of(model, expected, observed, 61)
    assert [d.expected for d in look.digits] == [GLYPHS[n] for n in (1, 0, 1, 0)]
    assert [d.observed for d in look.digits] == [d.expected for d in look.digits]
    assert not look.scanned
    assert not any(d.differs for d in look.digits)


def scanned(cycles, **scan):
    model = first(
        display,
        {"segments": (7,), "select": (4,)},
        ratio=100,
        glyphs={},
        modulo=[60, 60],
        scan={"dwell": 5, **scan},
    )
    return model, *played(model, Stimulus.of((), [Run(cycles, ())]))


def test_a_scanned_display_is_put_together_from_the_latest_turns():
    model, expected, observed = scanned(2_100)
    look = look_of(model, expected, observed, 2_060)
    assert look.scanned
    assert [d.observed for d in look.digits] == [GLYPHS[n] for n in (0, 2, 0, 0)]
    assert not any(d.differs for d in look.digits)


def test_a_digit_whose_turn_has_not_come_is_not_drawn():
    model, expected, observed = scanned(30)
    assert [d.cycle is None for d in look_of(model, expected, observed, 6).digits] == [
        False,
        False,
        True,
        True,
    ]


def test_a_digit_that_lights_out_of_turn_shows_its_neighbour():
    model, expected, observed = scanned(30)
    both = changed(observed, 1, lambda word: word | 0b0100)
    look = look_of(model, expected, both, 2)
    assert [d.differs for d in look.digits] == [False, False, True, False]
    assert (look.digits[2].expected, look.digits[2].observed) == (0, GLYPHS[0])


def test_a_digit_that_is_not_selected_in_its_turn_is_dark():
    model, expected, observed = scanned(30)
    look = look_of(model, expected, changed(observed, 1, lambda word: word & 0b1110), 2)
    assert (look.digits[0].expected, look.digits[0].observed) == (GLYPHS[0], 0)


def test_a_model_without_digits_has_no_look():
    model = first(counter, {"count": (4,)}, modulo=10)
    expected, observed = played(model, Stimulus.of(model.inputs, [Run(3, ())]))
    assert look_of(model, expected, observed, 1) is None
    assert len(np.unique(observed.cycles)) == 3
