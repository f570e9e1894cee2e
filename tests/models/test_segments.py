"""Decoders: every digit, every way of wiring, blanking, lamp test and the decimal point."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from verify.models.family import OptionError
from verify.models.glyphs import ALL_LIT, letters_of, pattern_of
from verify.models.segment_decoder import HoldingDecoder
from verify.models.segments import FAMILY

PACKED = {"digit": (4,), "segments": (7,)}
POINT = 0x80


def decoders(shape=PACKED, **options):
    return FAMILY.candidates(shape, options, False)


def usual(shape=PACKED, **options):
    return decoders(shape, **options)[0].model


def test_left_to_measure_every_combination_of_6_7_and_9_is_tried_the_usual_first():
    found = decoders()
    assert len(found) == 8
    assert found[0].measured == {"glyphs": {}}
    assert len({tuple(c.model.out((), (d,)) for d in range(10)) for c in found}) == 8
    assert found[-1].measured == {"glyphs": {"6": "cdefg", "7": "abcf", "9": "abcfg"}}


def test_digits_that_cannot_come_leave_no_variants_to_measure():
    assert len(decoders({"digit": (3,), "segments": (7,)})) == 4
    assert len(decoders({"digit": (2,), "segments": (7,)})) == 1


def test_a_measured_set_of_glyphs_pins_itself():
    for candidate in decoders(above_nine="hex"):
        (pinned,) = decoders(above_nine="hex", glyphs=candidate.measured["glyphs"])
        assert pinned.model == candidate.model
        assert pinned.measured == {}


def test_hexadecimal_6_and_b_never_look_alike_unless_the_bench_says_so():
    assert all(len(set(c.model.glyphs)) == 16 for c in decoders(above_nine="hex"))
    (pinned,) = decoders(above_nine="hex", glyphs={"6": "cdefg"})
    assert pinned.model.glyphs[6] == pinned.model.glyphs[11]


def test_hexadecimal_a_and_c_may_be_small_letters():
    found = {
        (letters_of(c.model.glyphs[10]), letters_of(c.model.glyphs[12])) for c in decoders(above_nine="hex")
    }
    assert found == {("abcefg", "adef"), ("abcefg", "deg"), ("abcdeg", "adef"), ("abcdeg", "deg")}


@given(
    st.dictionaries(
        st.sampled_from("0123456789ABCDEFabcdef"),
        st.permutations("abcdefg").flatmap(lambda p: st.integers(0, 7).map(lambda n: "".join(p[:n]))),
    )
)
def test_a_pinned_glyph_lights_just_its_letters(glyphs):
    (candidate,) = decoders(above_nine="hex", glyphs=glyphs)
    for key, letters in glyphs.items():
        if key.swapcase() not in glyphs or key.isdigit():
            assert candidate.model.out((), (int(key, 16),)) == (pattern_of(letters),)


@given(st.integers(0, 15), st.sampled_from(["high", "low"]), st.sampled_from([7, 8]))
def test_reversed_order_and_active_level_only_move_and_invert_wires(digit, active, wires):
    straight = usual({"digit": (4,), "segments": (wires,)}, active="high")
    turned = usual({"digit": (4,), "segments": (wires,)}, active=active, order="a_msb")
    (one,), (other,) = straight.out((), (digit,)), turned.out((), (digit,))
    lit = format(other ^ ((1 << wires) - 1 if active == "low" else 0), f"0{wires}b")
    assert lit[::-1] == format(one, f"0{wires}b")


@given(st.integers(0, 15), st.integers(0, 1), st.sampled_from(["high", "low"]))
def test_separate_ports_are_the_bits_of_the_word_a_first(digit, point, active):
    shape = {"digit": (4,), "point": (1,)}
    word = usual({**shape, "segments": (8,)}, active=active)
    ports = usual({**shape, "segment_ports": (1,) * 8}, active=active)
    (packed,) = word.out((), (digit, point))
    assert ports.out((), (digit, point)) == tuple(packed >> i & 1 for i in range(8))
    assert [s.name for s in ports.outputs] == [f"segment_ports[{i}]" for i in range(8)]


def test_digits_above_nine_are_blank_unless_the_bench_says_otherwise():
    assert [usual().out((), (d,)) for d in range(10, 16)] == [(0,)] * 6
    assert [usual(active="low").out((), (d,)) for d in range(10, 16)] == [(0x7F,)] * 6


def test_digits_above_nine_show_a_dash_or_the_glyphs_of_the_bench_if_it_says_so():
    dashes = decoders(above_nine="dash")
    assert {tuple(c.model.out((), (d,)) for d in range(10, 16)) for c in dashes} == {((0x40,),) * 6}
    assert len(dashes) == len(decoders())
    own = decoders(glyphs={"12": "g", "F": "ad"})
    assert [own[0].model.out((), (d,)) for d in range(10, 16)] == [(0,), (0,), (0x40,), (0,), (0,), (9,)]


def test_digits_above_nine_may_be_anybodys_guess_but_their_point_is_not():
    model = usual(
        {"digit": (4,), "segments": (8,), "blank": (1,), "point": (1,)}, above_nine="any", active="low"
    )
    assert model.cares((), (9, 0, 1)) == (0xFF,)
    assert model.cares((), (10, 0, 1)) == (POINT,)
    assert model.cares((), (10, 1, 1)) == (0xFF,)
    _, cares = model.table((np.arange(16), np.zeros(16, np.int64), np.zeros(16, np.int64)))
    assert cares[0].tolist() == [0xFF] * 10 + [POINT] * 6


def test_a_held_digit_stays_until_the_next_one_that_has_a_glyph():
    model = usual(above_nine="hold")
    assert isinstance(model, HoldingDecoder)
    state, shown = model.initial(), []
    for digit in (12, 3, 10, 15, 7, 11):
        known = model.cares(state, (digit,)) == (0x7F,)
        shown.append(letters_of(model.out(state, (digit,))[0]) if known else "?")
        state = model.next(state, (digit,))
    assert shown == ["?", "abcdg", "abcdg", "abcdg", "abc", "abc"]


def test_what_is_shown_in_reset_is_what_is_held_after_it():
    model = usual(above_nine="hold", reset_shows="zero")
    assert model.out(model.initial(), (12,)) == (pattern_of("abcdef"),)
    assert model.cares(model.initial(), (12,)) == (0x7F,)


def test_a_digit_held_through_blanking_is_the_glyph_or_the_darkness():
    shape = {**PACKED, "blank": (1,)}
    shown = {}
    for candidate in decoders(shape, above_nine="hold", glyphs={}):
        model = candidate.model
        state = model.next(model.next(model.initial(), (3, 0)), (12, 1))
        shown[candidate.measured["hold"]] = model.out(state, (12, 0))
    assert shown == {"glyph": (pattern_of("abcdg"),), "shown": (0,)}


CONTROLS = {"digit": (4,), "segments": (8,), "blank": (1,), "lamp_test": (1,), "point": (1,)}


def test_controls_that_could_work_together_in_several_ways_are_measured():
    found = decoders(CONTROLS, glyphs={})
    assert len(found) == 8
    assert found[0].measured == {"strongest": "lamp_test", "blank_point": "off", "lamp_test_point": "on"}
    tables = {
        tuple(c.model.out((), (4, b, t, p)) for b in (0, 1) for t in (0, 1) for p in (0, 1)) for c in found
    }
    assert len(tables) == 8


def test_what_was_measured_of_the_controls_pins_itself():
    for candidate in decoders(CONTROLS, above_nine="hold", glyphs={}):
        (pinned,) = decoders(CONTROLS, above_nine="hold", glyphs={}, **candidate.measured)
        assert pinned.model == candidate.model
        assert pinned.measured == {}


@pytest.mark.parametrize("candidate", decoders(CONTROLS, glyphs={}), ids=str)
def test_blank_darkens_and_lamp_test_lights_every_segment(candidate):
    model = candidate.model
    for digit in range(16):
        for point in (0, 1):
            assert model.out((), (digit, 1, 0, point))[0] & ALL_LIT == 0
            assert model.out((), (digit, 0, 1, point))[0] & ALL_LIT == ALL_LIT
            both = ALL_LIT if candidate.measured["strongest"] == "lamp_test" else 0
            assert model.out((), (digit, 1, 1, point))[0] & ALL_LIT == both
            assert model.out((), (digit, 0, 0, point))[0] >> 7 == point


def test_an_eighth_segment_without_a_point_input_stays_dark():
    model = usual({"digit": (4,), "segments": (8,)}, active="low")
    assert all(model.out((), (d,))[0] & POINT for d in range(16))
    assert all(
        model.out((), (d,))[0] & POINT == 0
        for d in range(16)
        for model in [usual({"digit": (4,), "segments": (8,)})]
    )


def test_the_word_in_reset_is_as_on_the_wires():
    assert usual().reset_shows is None
    assert usual(reset_shows="blank", active="low").reset_shows == 0x7F
    assert usual(reset_shows="dash").reset_shows == 0x40
    assert usual(reset_shows="dash", order="a_msb").reset_shows == 0x01
    assert usual(reset_shows="all").reset_shows == 0x7F
    assert usual(reset_shows="zero").reset_shows == 0x3F
    ports = usual({"digit": (4,), "segment_ports": (1,) * 7}, reset_shows="dash", active="low")
    assert ports.reset_outputs == tuple((value, 1) for value in (1, 1, 1, 1, 1, 1, 0))
    eighth = usual({"digit": (4,), "segments": (8,)}, reset_shows="blank", active="low")
    assert eighth.reset_outputs == ((0xFF, 0x7F),)  # of the point nothing is said


@pytest.mark.parametrize(
    ("shape", "options", "message"),
    [
        ({"segments": (7,)}, {}, "digit: found no port"),
        ({"digit": (9,), "segments": (7,)}, {}, "digit: found a port of 9 bits"),
        (
            {"digit": (5,), "segments": (7,)},
            {"above_nine": "hex"},
            "digit: found a port of 5 bits, expected four",
        ),
        ({"digit": (4,)}, {}, "segments: found neither"),
        (
            {"digit": (4,), "segments": (6,)},
            {},
            "segments: found 6 segments, expected 7, or 8 with the decimal",
        ),
        ({"digit": (4,), "segment_ports": (1,) * 6}, {}, "segment_ports: found 6 segments"),
        (
            {"digit": (4,), "segment_ports": (1, 1, 2, 1, 1, 1, 1)},
            {},
            "segment_ports: found a port of 2 bits for segment c",
        ),
        (
            {"digit": (4,), "segment_ports": (1,) * 7},
            {"order": "a_msb"},
            'order: found "a_msb", expected a list',
        ),
        ({**PACKED, "point": (1,)}, {}, "point: found no bit for the decimal point"),
        ({**PACKED, "blank": (2,)}, {}, "blank: found a port of 2 bits, expected one bit"),
        (PACKED, {"active": "lo"}, 'active: found \'lo\', expected "high" or "low"'),
        (PACKED, {"glyphs": {"6": "cdh"}}, "glyphs: found 6 = 'cdh', expected segments from a to g"),
        (PACKED, {"glyphs": {"6": "ccd"}}, "glyphs: found 6 = 'ccd'"),
        (
            PACKED,
            {"glyphs": {"A": "a"}, "above_nine": "any"},
            "glyphs: found digit 'A' with above_nine = \"any\", expected digits from 0 to 9",
        ),
        (PACKED, {"glyphs": {"16": "a"}}, "glyphs: found digit '16', expected digits from 0 to 15"),
        (PACKED, {"glyphs": {"six": "a"}}, "glyphs: found digit 'six'"),
        (PACKED, {"glyphs": ["a"]}, r"glyphs: found \['a'\], expected a table"),
        (PACKED, {"above_nine": "letters"}, "above_nine: found 'letters'"),
        (PACKED, {"reset_shows": "nine"}, "reset_shows: found 'nine'"),
        (PACKED, {"strongest": "blank"}, "strongest: found 'blank', expected this only with both blank and"),
        (CONTROLS, {"strongest": "point"}, "strongest: found 'point'"),
        (CONTROLS, {"hold": "glyph"}, "hold: found 'glyph', expected this only with above_nine"),
    ],
)
def test_what_no_decoder_can_have_is_refused_by_name(shape, options, message):
    with pytest.raises(OptionError, match=message):
        decoders(shape, **options)
