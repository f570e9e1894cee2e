"""Displays: which digit shows what, and static and scanned ones on real RTL."""

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.models.observing import observe
from verify.compare import Reading, try_reading
from verify.models.display import FAMILY
from verify.models.display_layout import arrange
from verify.models.display_reading import patterns_of_panel, points_of
from verify.models.family import OptionError
from verify.models.glyphs import DECIMAL, pattern_of
from verify.models.playing import ResetKind, expect
from verify.models.segment_wires import POINT
from verify.signals import ObservedTrace, Reset, Run, Stimulus, column

GLYPHS = [pattern_of(letters) for letters in DECIMAL]
RATIO = 6


def model_of(shape, **options):
    return FAMILY.candidates(shape, {"ratio": 1, **options}, True)[0].model


def text_of(model, *stages):
    """The digits that a static display shows, last one first in the shape, first one first in the text."""
    words = model.out((*model.timer.initial()[:6], *stages), (0,) * len(model.inputs))
    shown = {glyph: str(n) for n, glyph in enumerate(GLYPHS)} | {0: " "}
    return "".join(shown[word] for word in reversed(words))


# --- what is shown ------------------------------------------------------------------------------


def test_six_digits_are_hours_minutes_and_seconds_over_all_hundred_hours():
    model = model_of({"digits": (7,) * 6})
    trace, _ = expect(model, Stimulus.of((), [Run(360_000, ())]), ResetKind.SYNCHRONOUS)
    seconds = np.arange(0, 360_000, 977)
    rows = np.searchsorted(trace.cycles, seconds, side="right") - 1
    shown = [[GLYPHS.index(int(v)) for v in column[rows]] for column in trace.values]
    for second, *digits in zip(seconds.tolist(), *shown, strict=True):
        minutes, last = divmod(timedelta(seconds=second), timedelta(minutes=1))
        text = f"{minutes // 60:02}{minutes % 60:02}{last.seconds:02}"
        assert "".join(map(str, reversed(digits))) == text


def test_leading_zeros_of_the_whole_number_are_dark_but_never_the_last_digit():
    model = model_of({"digits": (7,) * 6}, leading_zero="blank")
    assert text_of(model, 0, 0, 0) == "     0"
    assert text_of(model, 5, 0, 0) == "     5"
    assert text_of(model, 0, 1, 0) == "   100"
    assert text_of(model, 7, 0, 10) == "100007"


def test_leading_zeros_may_be_dark_in_the_first_place_only():
    found = FAMILY.candidates({"digits": (7,) * 6}, {"ratio": 1, "leading_zero": "blank", "glyphs": {}}, True)
    models = {c.measured["blank_zeros"]: c.model for c in found}
    assert text_of(models["in the first place"], 0, 0, 0) == " 00000"
    assert text_of(models["all before the number"], 0, 0, 0) == "     0"


@pytest.mark.parametrize(
    ("digits", "moduli", "size", "sizes"),
    [
        (6, None, None, (2, 2, 2)),
        (4, None, None, (2, 2)),
        (4, (60, 24), None, (2, 2)),
        (5, (10, 60, 60), None, (1, 2, 2)),
        (6, (10, 60, 60), None, (2, 2, 2)),
        (3, (60, 10), None, (2, 1)),
        (3, (8, 6, 4), 1, (1, 1, 1)),
        (9, (1000, 60, 60), 3, (3, 3, 3)),
        (7, (1000, 60, 60), None, (3, 2, 2)),
    ],
)
def test_every_stage_has_the_digits_that_it_needs(digits, moduli, size, sizes):
    assert arrange(digits, moduli, size).sizes == sizes


@given(st.integers(1, 6), st.integers(1, 3), st.data())
def test_a_display_in_one_word_is_its_digits_side_by_side(stages, size, data):
    moduli = [data.draw(st.integers(2, 10**size)) for _ in range(stages)]
    each = data.draw(st.sampled_from([7, 8]))
    options = {"modulo": moduli, "digits_per_stage": size, "glyphs": {}, "active": "low"}
    count = stages * size
    apart = model_of({"digits": (each,) * count}, **options)
    state = apart.timer.initial()[:6] + tuple(data.draw(st.integers(0, m - 1)) for m in moduli)
    words = apart.out(state, ())
    if each * count % 7 == 0 and each * count % 8 == 0:
        return
    joined = model_of({"segments": (each * count,)}, **options)
    assert joined.out(state, ()) == (sum(w << each * i for i, w in enumerate(words)),)


def test_points_of_digits_and_of_a_port_of_their_own_are_the_same_bits():
    shape = {"digits": (7,) * 4, "point": (4,)}
    model = model_of(shape, active="low")
    assert model.out(model.initial(), ())[-1] == 0b1111


@pytest.mark.parametrize("active", ["high", "low"])
@pytest.mark.parametrize("lit", [0b0000, 0b0010, 0b1001, 0b1111])
def test_points_on_a_port_of_their_own_are_read_into_the_patterns_of_their_digits(active, lit):
    panel = model_of({"digits": (7,) * 4, "point": (4,)}, active=active).panel
    wires = [GLYPHS[3] ^ (0x7F if active == "low" else 0)] * 4 + [lit ^ (0xF if active == "low" else 0)]
    columns = tuple(column([word], s.width) for word, s in zip(wires, panel.signals, strict=True))
    patterns = patterns_of_panel(panel, ObservedTrace(panel.signals, 1, np.zeros(1, np.int64), columns, None))
    assert [int(words[0]) for words, _ in patterns] == [
        GLYPHS[3] | POINT * (lit >> digit & 1) for digit in range(4)
    ]
    assert points_of(patterns) == lit


def test_what_is_shown_in_reset_is_as_on_the_wires():
    static = model_of({"digits": (7,) * 2}, active="low", reset_shows="blank")
    assert static.reset_outputs == ((0x7F, 0x7F), (0x7F, 0x7F))
    scanned = {"segments": (7,), "select": (2,)}
    assert model_of(scanned, reset_shows="dash").reset_outputs == ((0x40, 0x7F), (0, 0))
    assert model_of(scanned).reset_outputs is None


def test_the_refresh_rate_is_that_of_a_whole_period():
    model = model_of({"segments": (7,), "select": (4,)}, scan={"dwell": 12_000, "blanking": 100})
    assert model.refresh_hz(12_000_000) == 250


def test_sixteen_sets_of_glyphs_share_one_long_walk_of_the_timer():
    found = FAMILY.candidates({"digits": (7,) * 6}, {"ratio": 2}, True)
    one, other = found[0].model, found[1].model
    assert one.face.glyphs != other.face.glyphs
    first, second = (m.timer_leap(m.initial(), (), 5000) for m in (one, other))
    assert first is second
    with_other_timer = next(c.model for c in found if c.model.timer != one.timer)
    assert with_other_timer.timer_leap(one.initial(), (), 5000) is not first


@pytest.mark.parametrize(
    ("shape", "options", "message"),
    [
        ({}, {}, "digits: found neither, expected one of digits, segments"),
        ({"digits": (7, 6)}, {}, "digits: found 6 segments, expected 7, or 8"),
        ({"digits": (7,) * 4, "select": (4,)}, {}, "select: found a port beside digits"),
        (
            {"digits": (7,) * 4},
            {"modulo": [60, 60, 24]},
            "modulo: found stages of 60, 60, 24 states, which need 2",
        ),
        (
            {"digits": (7,) * 4},
            {"modulo": [60, 101]},
            r"which need 2 \+ 3 digits, expected stages for 4 digits",
        ),
        ({"digits": (7,) * 8}, {}, "modulo: found nothing for 8 digits"),
        ({"digits": (7,) * 4}, {"digits_per_stage": 1}, "modulo: found nothing for 4 digits"),
        (
            {"digits": (7,) * 4},
            {"scan": {"dwell": 3}},
            "scan: found .* expected the roles segments and select",
        ),
        ({"digits": (7,) * 4, "point": (3,)}, {}, "point: found a port of 3 bits, expected 4, one per digit"),
        ({"segments": (30,)}, {}, "segments: found a port of 30 bits without select, expected 7 or 8 bits"),
        ({"segments": (9,), "select": (4,)}, {}, "segments: found 9 segments"),
        (
            {"segments": (8,), "select": (4,), "point": (4,)},
            {},
            "point: found a port of 4 bits, expected one line",
        ),
        (
            {"segments": (7,), "select": (4,)},
            {"scan": {"dwel": 3}},
            "scan: found the key dwel, expected dwell",
        ),
        (
            {"segments": (7,), "select": (4,)},
            {"scan": {"dwell": 0}},
            "scan: found dwell = 0, expected a number",
        ),
        ({"segments": (7,), "select": (4,)}, {"scan": {"dwell": "x"}}, "scan: found dwell = 'x'"),
        (
            {"segments": (7,), "select": (4,)},
            {"scan": {"select_active": "no"}},
            "scan: found select_active = 'no'",
        ),
        (
            {"segments": (7,), "select": (4,)},
            {"scan": {"dwell": 3, "blanking": 3}},
            "scan: found blanking = 3, expected fewer clocks than the dwell, 3",
        ),
        ({"digits": (7,) * 4}, {"leading_zero": "dark"}, "leading_zero: found 'dark'"),
        ({"digits": (7,) * 4}, {"ratio": 0}, "ratio: found 0"),
        ({"digits": (7,) * 4, "load": (1,)}, {}, "load: found a port, expected load_values bound as well"),
        ({"digits": (7,) * 4}, {"colour": "red"}, "colour: found an option that this model does not have"),
    ],
)
def test_what_no_display_can_have_is_refused_by_name(shape, options, message):
    with pytest.raises(OptionError, match=message):
        model_of(shape, **options)


# --- on real RTL --------------------------------------------------------------------------------

TIMER = """
`ifdef NO_RESET
`define RST 1'b0
`define ON 1'b1
`else
`define RST rst
`define ON enable
`endif
module tally (input clk, input rst, input enable, input clear, output [3:0] d0, d1, d2, d3);
    reg [7:0] clocks; reg [3:0] low; reg [3:0] high;
`ifdef NO_RESET
    initial begin clocks = 0; low = 0; high = 0; end
`endif
    always @(posedge clk) if (`RST || clear) begin clocks <= 0; low <= 0; high <= 0; end
    else if (`ON) begin
        clocks <= clocks == 5 ? 0 : clocks + 1;
        if (clocks == 5) begin
            low <= low == 11 ? 0 : low + 1;
            if (low == 11) high <= high == 10 ? 0 : high + 1;
        end
    end
    assign {d0, d1, d2, d3} = {4'(low % 10), 4'(low / 10), 4'(high % 10), 4'(high / 10)};
endmodule
module glyph (input [3:0] digit, output [6:0] lit);
    wire [6:0] base = digit == 0 ? 7'h3f : digit == 1 ? 7'h06 : digit == 2 ? 7'h5b : digit == 3 ? 7'h4f :
        digit == 4 ? 7'h66 : digit == 5 ? 7'h6d : digit == 6 ? 7'h7d : digit == 7 ? 7'h07 :
        digit == 8 ? 7'h7f : 7'h6f;
`ifdef TAILLESS
    assign lit = digit == 6 ? 7'h7c : digit == 9 ? 7'h67 : base;
`elsif NO_G_IN_TWO
    assign lit = digit == 2 ? 7'h1b : base;
`elsif NO_G_IN_NINE
    assign lit = digit == 9 ? 7'h2f : base;
`else
    assign lit = base;
`endif
endmodule
"""

STATIC = (
    TIMER
    + """
module dut (input clk, input rst, input enable, input clear,
            output [6:0] digits_0, digits_1, digits_2, digits_3);
    wire [3:0] a, b, c, d;
    tally t (clk, rst, enable, clear, a, b, c, d);
    wire [6:0] p, q, r, s;
`ifdef SWAPPED
    glyph g0 (b, p); glyph g1 (a, q);
`else
    glyph g0 (a, p); glyph g1 (b, q);
`endif
    glyph g2 (c, r); glyph g3 (d, s);
`ifdef REGISTERED
    reg [27:0] out; always @(posedge clk) out <= rst ? 28'h0 : {s, r, q, p};
    assign {digits_3, digits_2, digits_1, digits_0} = out;
`elsif ONE_LATE
    reg [6:0] late; always @(posedge clk) late <= rst ? 7'h0 : r;
    assign {digits_3, digits_2, digits_1, digits_0} = {s, late, q, p};
`elsif LEADING
    assign {digits_3, digits_2, digits_1, digits_0} =
        {d ? s : 7'h0, c || d ? r : 7'h0, b || c || d ? q : 7'h0, p};
`elsif FIRST_ONLY
    assign {digits_3, digits_2, digits_1, digits_0} = {d ? s : 7'h0, r, q, p};
`elsif NOTHING_AT_ZERO
    assign {digits_3, digits_2, digits_1, digits_0} =
        {d ? s : 7'h0, c || d ? r : 7'h0, b || c || d ? q : 7'h0, a || b || c || d ? p : 7'h0};
`else
    assign {digits_3, digits_2, digits_1, digits_0} = {s, r, q, p};
`endif
endmodule
"""
)

SCANNED = (
    TIMER
    + """
`ifndef DWELL
`define DWELL 5
`endif
module dut (input clk, input rst, input enable, input clear, output [6:0] segments, output [3:0] select);
    wire [3:0] a, b, c, d;
    tally t (clk, rst, enable, clear, a, b, c, d);
    reg [7:0] count = 3; reg [1:0] turn = 2;
`ifdef SCAN_FREE
    wire scan_rst = 0;
`else
    wire scan_rst = `RST
`ifdef SCAN_CLEARED
        | clear
`endif
    ;
`endif
`ifdef SCAN_PAUSED
    wire go = enable;
`else
    wire go = 1;
`endif
`ifdef UNEVEN
    wire last = count == `DWELL - (turn == 2 ? 2 : 1);
`else
    wire last = count == `DWELL - 1;
`endif
`ifdef DOWN
    localparam FIRST = 3;
`else
    localparam FIRST = 0;
`endif
`ifdef FIRST_SHORT
    localparam BEGIN = 1;
`else
    localparam BEGIN = 0;
`endif
    always @(posedge clk) if (scan_rst) begin count <= BEGIN; turn <= FIRST; end else if (go) begin
        count <= last ? 0 : count + 1;
`ifdef DOWN
        if (last) turn <= turn - 1;
`elsif SKIPS
        if (last) turn <= turn == 2 ? 0 : turn + 1;
`elsif JUMBLED
        if (last) turn <= turn == 0 ? 2 : turn == 2 ? 1 : turn == 1 ? 3 : 0;
`else
        if (last) turn <= turn + 1;
`endif
    end
`ifdef DIGITS_LATE
    reg [15:0] q; always @(posedge clk) q <= rst ? 0 : {d, c, b, a};
`else
    wire [15:0] q = {d, c, b, a};
`endif
`ifdef SWAPPED
    wire [3:0] digit = q[4*(turn ^ 1) +: 4];
`else
    wire [3:0] digit = q[4*turn +: 4];
`endif
    wire [6:0] lit; glyph g (digit, lit);
    wire [3:0] one = 4'd1 << turn;
`ifdef GAP
    wire [3:0] hot = count < 2 ? 4'd0 : one;
`elsif TWO
    wire [3:0] hot = last ? one | {one[2:0], one[3]} : one;
`elsif NEVER_DARK_ENDS
    wire [3:0] hot = turn == 3 && count == 0 ? 4'd0 : one;
`else
    wire [3:0] hot = one;
`endif
`ifdef REGISTERED
    reg [10:0] out; always @(posedge clk) out <= rst ? 11'h0 : {hot, lit};
    wire [10:0] shown = out;
`elsif OUT_OF_STEP
    reg [6:0] late; always @(posedge clk) late <= rst ? 7'h0 : lit;
    wire [10:0] shown = {hot, late};
`else
    wire [10:0] shown = {hot, lit};
`endif
`ifdef LOW_SELECT
    assign {select, segments} = shown ^ 11'h780;
`else
    assign {select, segments} = shown;
`endif
endmodule
"""
)

CONTROLS = {"enable": (1,), "clear": (1,)}
OPTIONS = {"ratio": RATIO, "modulo": [12, 11]}


def stimulus(signals, seed):
    """Rest, a reset at an odd moment, then enable, clear and resets at random."""
    rng = np.random.default_rng(seed)
    rest = (1, 0)
    runs = [Run(2, rest, Reset.HELD), Run(120, rest), Run(1, rest, Reset.HELD), Run(67, rest)]
    for cycles, enable, clear in zip(rng.integers(1, 30, 40), rng.random(40), rng.random(40), strict=True):
        runs.append(Run(int(cycles), (int(enable < 0.7), int(clear < 0.05))))
    runs += [Run(3, rest, Reset.HELD), Run(6 * 12 * 11 + 40, rest)]
    return Stimulus.of(signals, runs)


def standing(folder, verilog, shape, defines, **options):
    """The candidates that a first look leaves, and which of them a second one leaves."""
    shape, options = {**shape, **CONTROLS}, {**OPTIONS, **options}
    model = FAMILY.candidates(shape, options, True)[0].model
    looks = [stimulus(model.inputs, seed) for seed in (1, 2)]
    first, second = (observe(verilog, s, model.outputs, folder, defines=defines) for s in looks)
    candidates = FAMILY.candidates(shape, options, True, (looks[0], first))
    readings = [
        Reading(c, ResetKind.SYNCHRONOUS, latency)
        for c in candidates
        for latency in (range(9) if c.latencies is None else c.latencies)
    ]
    trials = [try_reading(r, looks[1], second) for r in readings]
    return candidates, [t.reading for t in trials if t.difference.matches]


STATIC_RIGHT = {
    "plain": ((), {}, 0, {"glyphs": {}}),
    "registered": (("REGISTERED",), {}, 1, {"glyphs": {}}),
    "without tails": (("TAILLESS",), {}, 0, {"glyphs": {"6": "cdefg", "9": "abcfg"}}),
    "leading zeros dark": (
        ("LEADING",),
        {"leading_zero": "blank"},
        0,
        {"blank_zeros": "all before the number"},
    ),
    "first zero dark": (("FIRST_ONLY",), {"leading_zero": "blank"}, 0, {"blank_zeros": "in the first place"}),
}


@pytest.mark.parametrize(("defines", "options", "latency", "facts"), STATIC_RIGHT.values(), ids=STATIC_RIGHT)
def test_a_right_static_display_passes_and_its_open_facts_are_measured(
    tmp_path, defines, options, latency, facts
):
    candidates, left = standing(tmp_path, STATIC, {"digits": (7,) * 4}, defines, **options)
    assert len(candidates) < 40
    simplest = min(left, key=lambda r: r.latency_cycles + r.candidate.shift)
    assert simplest.latency_cycles + simplest.candidate.shift == latency
    assert all(facts.items() <= r.candidate.measured.items() for r in left)


STATIC_WRONG = {
    "ones and tens swapped": (("SWAPPED",), {}),
    "one digit a clock late": (("ONE_LATE",), {}),
    "a 2 without its middle": (("NO_G_IN_TWO",), {}),
    "a 9 without its middle": (("NO_G_IN_NINE",), {}),
    "leading zeros shown": ((), {"leading_zero": "blank"}),
    "leading zeros dark": (("LEADING",), {}),
    "nothing at zero": (("NOTHING_AT_ZERO",), {"leading_zero": "blank"}),
    "tails that the bench does not want": ((), {"glyphs": {"6": "cdefg"}}),
}


@pytest.mark.parametrize(("defines", "options"), STATIC_WRONG.values(), ids=STATIC_WRONG)
def test_a_wrong_static_display_fails(tmp_path, defines, options):
    candidates, left = standing(tmp_path, STATIC, {"digits": (7,) * 4}, defines, **options)
    assert candidates
    assert left == []


LINES = {"segments": (7,), "select": (4,)}

SCANNED_RIGHT = {
    "plain": ((), {}, {"scan_from_digit": 0, "scan_direction": "up", "scan_late": 0}),
    "a first turn cut short": (("FIRST_SHORT",), {}, {"scan_from_digit": 0, "scan_late": -1}),
    "downwards": (("DOWN",), {}, {"scan_from_digit": 3, "scan_direction": "down"}),
    "registered": (("REGISTERED",), {}, {"scan_late": 1}),
    "low selects": (("LOW_SELECT",), {}, {"scan": {"dwell": 5, "select_active": "low", "blanking": 0}}),
    "a gap": (("GAP",), {}, {"scan": {"dwell": 5, "select_active": "high", "blanking": 2}}),
    "a gap, registered": (("GAP", "REGISTERED", "LOW_SELECT"), {"scan": {"dwell": 5, "blanking": 2}}, {}),
    "one clock each": (("DWELL=1",), {}, {}),
    "slower than the timer": (("DWELL=23",), {}, {}),
    "digits behind the scan": (("DIGITS_LATE",), {}, {}),
    "digits further behind": (("DIGITS_LATE", "REGISTERED", "GAP"), {}, {}),
    "stands in a pause": (("SCAN_PAUSED",), {}, {"scan_in_pause": "stands"}),
    "begins anew with a clear": (("SCAN_CLEARED",), {}, {"scan_on_clear": "starts anew"}),
    "goes on through a reset": (("SCAN_FREE",), {}, {"scan_in_reset": "goes on"}),
    "goes on, registered": (("SCAN_FREE", "REGISTERED"), {}, {"scan_in_reset": "goes on"}),
    "pinned": ((), {"scan": {"dwell": 5, "select_active": "high", "blanking": 0}}, {"scan_from_digit": 0}),
}


@pytest.mark.parametrize(("defines", "options", "facts"), SCANNED_RIGHT.values(), ids=SCANNED_RIGHT)
def test_a_right_scanned_display_passes_and_its_scan_is_measured(tmp_path, defines, options, facts):
    candidates, left = standing(tmp_path, SCANNED, LINES, defines, **options)
    assert len(candidates) < 60
    assert left
    assert all(facts.items() <= r.candidate.measured.items() for r in left)


SCANNED_WRONG = {
    "two digits at once for a clock": (("TWO",), {}),
    "one digit never served": (("SKIPS",), {}),
    "digits in a jumbled order": (("JUMBLED",), {}),
    "one digit served for shorter": (("UNEVEN",), {}),
    "segments a clock behind the select": (("OUT_OF_STEP",), {}),
    "digits swapped": (("SWAPPED",), {}),
    "one digit dark for a clock": (("NEVER_DARK_ENDS",), {}),
    "another dwell than pinned": ((), {"scan": {"dwell": 4}}),
    "a gap where none is wanted": (("GAP",), {"scan": {"blanking": 0}}),
    "a gap too long": (("GAP",), {"scan": {"blanking": 1}}),
    "selects at the wrong level": (("LOW_SELECT",), {"scan": {"select_active": "high"}}),
    "a 2 without its middle": (("NO_G_IN_TWO",), {}),
}


@pytest.mark.parametrize(("defines", "options"), SCANNED_WRONG.values(), ids=SCANNED_WRONG)
def test_a_wrong_scanned_display_fails(tmp_path, defines, options):
    candidates, left = standing(tmp_path, SCANNED, LINES, defines, **options)
    assert candidates
    assert left == []


def without_reset(folder, verilog, shape, defines):
    """As :func:`standing`, from power-up, for a design without reset."""
    shape = {**shape, "clear": (1,)}
    model = FAMILY.candidates(shape, OPTIONS, False)[0].model
    looks = [
        Stimulus.of(model.inputs, [Run(120, (0,)), *[Run(n, (int(n % 7 == seed),)) for n in range(1, 40)]])
        for seed in (1, 2)
    ]
    first, second = (
        observe(verilog, s, model.outputs, folder, defines=("NO_RESET", *defines), reset_first=False)
        for s in looks
    )
    candidates = FAMILY.candidates(shape, OPTIONS, False, (looks[0], first))
    readings = [
        Reading(c, ResetKind.ASYNCHRONOUS, latency)
        for c in candidates
        for latency in (range(9) if c.latencies is None else c.latencies)
    ]
    trials = [try_reading(r, looks[1], second) for r in readings]
    return [t.reading for t in trials if t.difference.matches]


@pytest.mark.parametrize("verilog", [STATIC, SCANNED], ids=["static", "scanned"])
def test_a_display_without_reset_is_taken_from_power_up(tmp_path, verilog):
    shape = {"digits": (7,) * 4} if verilog is STATIC else LINES
    assert without_reset(tmp_path, verilog, shape, ())
    assert without_reset(tmp_path, verilog, shape, ("SWAPPED",)) == []


def test_a_scan_too_slow_to_be_seen_is_never_taken_for_checked(tmp_path):
    candidates, _ = standing(tmp_path, SCANNED, LINES, ("DWELL=200",))
    assert {c.measured["scan"] for c in candidates} == {"slower than the first look"}
    for candidate in candidates:
        model = candidate.model
        assert model.cares(model.initial(), (1, 0)) == (0, 0)
        assert model.landmarks()[-1] > 1 << 50


def test_before_anything_was_seen_the_first_look_is_long_enough_for_a_scan():
    assert model_of(LINES, **OPTIONS).landmarks()[0] == 1 << 14
    assert model_of(LINES, **OPTIONS, scan={"dwell": 100}).landmarks()[0] == 800
