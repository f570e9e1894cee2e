"""Displays of a number that comes in: what each digit shows, when it is taken in, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.models.observing import observe
from verify.compare import Reading, try_reading
from verify.models.display import FAMILY
from verify.models.display_given import arrange_given
from verify.models.family import OptionError
from verify.models.glyphs import DECIMAL, HEXADECIMAL, pattern_of
from verify.models.playing import ResetKind
from verify.signals import Reset, Run, Stimulus
from verify.stimulus import first_look, plan
from verify.stimulus.budget import Budget

HEX = [pattern_of(letters) for letters in HEXADECIMAL]
RESETS = (Reset.HELD, Reset.PULSED)
NIBBLES = {"segments": (7,), "select": (4,), "values": (4, 4, 4, 4)}


def static_model(shape, **options):
    return FAMILY.candidates(shape, {"glyphs": {}, **options}, False)[0].model


@given(st.integers(0, 0xFFFF))
def test_four_nibbles_are_the_hexadecimal_digits_of_a_number(number):
    model = static_model({"digits": (7,) * 4, "values": (4,) * 4}, above_nine="hex")
    shown = model.out((), tuple(number >> 4 * i & 15 for i in range(4)))
    assert "".join(f"{HEX.index(word):x}" for word in reversed(shown)) == f"{number:04x}"


@given(st.integers(0, 9999))
def test_a_whole_number_is_shown_in_decimal_and_its_leading_zeros_may_be_dark(number):
    model = static_model({"digits": (7,) * 4, "values": (14,)}, leading_zero="blank")
    symbols = {pattern_of(letters): str(i) for i, letters in enumerate(DECIMAL)} | {0: " "}
    assert "".join(symbols[word] for word in reversed(model.out((), (number,)))) == f"{number:4d}"


def test_a_number_that_has_no_room_is_not_promised():
    model = static_model({"digits": (7, 7), "values": (7,)})
    assert model.limits == {"values[0]": 99}
    assert model.cares((), (100,)) == (0, 0)


@pytest.mark.parametrize(
    ("digits", "widths", "moduli", "above_nine", "expected"),
    [
        (4, (4, 4, 4, 3), None, True, ((16, 16, 16, 8), (1, 1, 1, 1))),
        (4, (4, 4, 4, 3), None, False, ((10, 10, 10, 8), (1, 1, 1, 1))),
        (3, (8,), None, False, ((256,), (3,))),
        (4, (6, 6), (60, 60), False, ((60, 60), (2, 2))),
    ],
)
def test_ports_and_digits_are_matched(digits, widths, moduli, above_nine, expected):
    layout = arrange_given(digits, widths, moduli, above_nine=above_nine)
    assert (layout.moduli, layout.sizes) == expected


@pytest.mark.parametrize(
    ("shape", "options", "message"),
    [
        ({"digits": (7, 7), "values": (4, 4, 4)}, {}, "values: found 3 ports for 2 digits"),
        ({"digits": (7, 7), "values": (10,)}, {"modulo": [1000]}, "modulo: found numbers below 1000"),
        ({"digits": (7, 7), "values": (8,)}, {"modulo": [10, 10]}, "modulo: found 2 numbers, expected 1"),
        ({"digits": (7, 7), "values": (4, 4), "enable": (1,)}, {}, "enable: found a port beside values"),
        ({"digits": (7, 7), "values": (4, 4)}, {"ratio": 5}, "ratio: found 5, expected nothing"),
        ({"digits": (7, 7), "values": (4, 4)}, {"above_nine": "hold"}, 'above_nine: found "hold"'),
        ({"digits": (7, 7), "values": (4, 4)}, {"scan": {}}, "scan: found {}, expected the roles"),
    ],
)
def test_what_no_such_display_can_have_is_refused_by_name(shape, options, message):
    with pytest.raises(OptionError, match=message.replace("{", r"\{").replace("}", r"\}")):
        FAMILY.candidates(shape, options, False)


SCANNED = """module dut(input clk, input rst, input [3:0] values_0, values_1, values_2, values_3,
  output reg [6:0] segments, output reg [3:0] select);
reg [4:0] turn;
wire [1:0] at = turn[4:3];
wire [1:0] shown = at ^ {swapped};
reg [3:0] digit;
always @* case (shown) 0: digit = values_0; 1: digit = values_1; 2: digit = values_2;
  3: digit = values_3; endcase
reg [6:0] lit;
always @* case (digit)
{table}
endcase
always @(posedge clk) if (rst) turn <= 0; else turn <= turn + 1;
always @(posedge clk) begin select <= 4'b1 << at; {condition} segments <= lit; end
endmodule
"""
TABLE = "\n".join(f"4'd{digit}: lit = 7'd{glyph};" for digit, glyph in enumerate(HEX))


def stands(folder, **edits):
    """Whether a display stands after everything that is played on it, and how its number is taken in."""
    chosen = {"table": TABLE, "condition": "", "swapped": "2'd0"} | edits
    text = SCANNED
    for key, value in chosen.items():
        text = text.replace("{" + key + "}", value)
    options = {"above_nine": "hex", "glyphs": {}, "scan": {"dwell": 8}}
    model = FAMILY.candidates(NIBBLES, options, True)[0].model
    look = first_look(model, resets=RESETS, seed=3).stimulus
    seen = observe(text, look, model.outputs, folder)
    candidates = FAMILY.candidates(NIBBLES, options, True, (look, seen))
    every = list(plan(candidates[0].model, resets=RESETS, seed=3, budget=Budget(trip_cycles=20_000)))
    walk = next(stage.stimulus for stage in every if "every value" in stage.name)
    rng = np.random.default_rng(5)
    rows = [Run(int(n), tuple(int(v) for v in rng.integers(0, 16, 4))) for n in rng.integers(1, 30, 300)]
    stimuli = [look, look.then(walk), look.then(Stimulus.of(model.inputs, rows))]
    traces = [observe(text, stimulus, model.outputs, folder) for stimulus in stimuli]
    found = set()
    for candidate in candidates:
        for latency in candidate.latencies or range(3):
            reading = Reading(candidate, ResetKind.SYNCHRONOUS, latency)
            if all(
                try_reading(reading, s, t).difference.matches for s, t in zip(stimuli, traces, strict=True)
            ):
                found.add(candidate.measured["number_taken"])
    return found


def test_a_display_that_follows_its_number_stands_and_one_with_two_digits_exchanged_does_not(tmp_path):
    assert stands(tmp_path) == {"at every clock"}
    assert stands(tmp_path, swapped="{1'b0, at[1]}") == set()


def test_a_display_that_takes_the_number_as_a_turn_begins_is_told_from_one_that_follows(tmp_path):
    assert stands(tmp_path, condition="if (turn[2:0] == 0 || rst)") == {"as a turn begins"}


def test_a_display_that_takes_the_number_in_the_middle_of_a_turn_does_not_stand(tmp_path):
    assert stands(tmp_path, condition="if (turn[2:0] == 5 || rst)") == set()


def test_a_wrong_glyph_of_one_digit_does_not_stand(tmp_path):
    assert stands(tmp_path, table=TABLE.replace("4'd11: lit = 7'd124", "4'd11: lit = 7'd127")) == set()
