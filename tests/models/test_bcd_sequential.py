"""Sequential converters on real RTL: every usual handshake passes, every broken promise fails."""

import numpy as np
import pytest

from tests.models.observing import observe
from verify.compare import Reading, try_reading
from verify.models.bcd import FAMILY
from verify.models.bcd_handshake import Handshake, Roles, Schedule
from verify.models.family import OptionError
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Reset, Run, Signal, Stimulus, column

VERILOG = """
module dut (
    input clk, input rst, input [5:0] binary,
`ifndef FREE
    input start,
`endif
    output reg [7:0] bcd, output done, output busy
);
    localparam IDLE = 0, WORK = 1, FINISH = 2, DONE = 3;
    reg [1:0] state; reg [5:0] value, rest; reg [3:0] steps; reg flag, earlier, held; reg [2:0] count;
    reg start_q; reg [5:0] binary_q;
`ifdef FREE
    wire start = 1;
`endif
    always @(posedge clk) if (rst) {start_q, binary_q} <= 0; else {start_q, binary_q} <= {start, binary};
`ifdef REGISTERED_INPUTS
    wire s = start_q; wire [5:0] b = binary_q;
`else
    wire s = start; wire [5:0] b = binary;
`endif
`ifdef RISING
    wire take = s & ~earlier;
`elsif DROPS
    wire take = s & (count != 7);
`else
    wire take = s;
`endif
    wire [7:0] digits = {2'b0, value} / 10 * 16 + {2'b0, value} % 10;
    always @(posedge clk) if (rst) begin
        state <= IDLE; bcd <= 0; flag <= 0; earlier <= 0; held <= 0; count <= 0;
    end else begin
        earlier <= s; flag <= 0;
        case (state)
            IDLE: begin
                count <= count + s;
`ifdef FORGETS
                bcd <= 0;
`endif
            end
            WORK: begin
`ifdef LATE_CAPTURE
                if (steps == 6) begin value <= b; rest <= b; end
`endif
                steps <= steps - 1;
`ifdef SUBTRACTS
                rest <= rest - 10;
                if (rest < 20) state <= FINISH;
`elsif SLOW
                if (steps == (value == 42 ? 10 : 1)) state <= FINISH;
`else
                if (steps == 1) state <= FINISH;
`endif
            end
            FINISH: begin
`ifdef WRONG
                bcd <= digits ^ (value == 59);
`elsif MIXES
                bcd <= {digits[7:4], 4'(b % 10)};
`else
                bcd <= digits;
`endif
                flag <= 1; held <= 1;
`ifdef DONE_STATE
                state <= DONE;
`else
                state <= IDLE;
`endif
            end
            DONE:
`ifdef ACKNOWLEDGED
                if (!s) state <= IDLE;
`else
                state <= IDLE;
`endif
        endcase
        if (take && (state == IDLE
`ifdef RESTARTS
            || 1
`endif
        )) begin
            state <= WORK; value <= b; rest <= b; steps <= 6; held <= 0; flag <= 0;
        end
    end
`ifdef EARLY
    assign done = state == FINISH;
`elsif HELD
    assign done = held;
`elsif WHENEVER_IDLE
    assign done = state == IDLE;
`elsif DONE_STATE
    assign done = state == DONE;
`elsif LONG_PULSE
    reg flag_q; always @(posedge clk) flag_q <= flag & ~rst;
    assign done = flag | flag_q;
`else
    assign done = flag;
`endif
`ifdef BUSY_WORKING
    assign busy = state == WORK || state == FINISH;
`else
    assign busy = state != IDLE;
`endif
endmodule
"""

CONTROLS = {"start": (1,), "done": (1,), "busy": (1,)}


def shape_of(*roles):
    return {"binary": (6,), "bcd": (8,), **{role: CONTROLS[role] for role in roles}}


def stimulus(signals, seed, runs=70, start_low=2):
    """Starts of one clock and of many, at every distance from the one before; a few resets."""
    rng = np.random.default_rng(seed)
    rows = [Run(2, (0,) * len(signals), Reset.HELD)]
    for number in range(runs):
        for on in [0] * start_low + [1]:
            values = (int(rng.integers(64)), on)[: len(signals)]
            rows.append(Run(int(rng.integers(1, 13 if rng.random() < 0.3 else 4)), values))
        if number % 12 == 11:
            rows.append(Run(1, values, Reset.HELD))
    return Stimulus.of(signals, rows)


def standing(tmp_path, defines=(), options=None, roles=("start", "done", "busy"), **stimuli):
    """The handshakes that a first look leaves, and those of them that a longer look leaves."""
    shape, options = shape_of(*roles), options or {}
    model = FAMILY.candidates(shape, options, True)[0].model
    looks = [stimulus(model.inputs, seed, **stimuli) for seed in (1, 2)]
    first, second = (observe(VERILOG, s, model.outputs, tmp_path, defines=defines) for s in looks)
    candidates = FAMILY.candidates(shape, options, True, (looks[0], first))
    readings = [Reading(c, ResetKind.SYNCHRONOUS, c.latencies[0]) for c in candidates]
    trials = [try_reading(r, looks[1], second) for r in readings]
    return candidates, [t.reading.candidate for t in trials if t.difference.matches]


RIGHT = {
    "pulse": ((), {}, {"done": "pulse", "next_start": 0, "busy_until": 0, "clocks": 8}),
    "held until the next start": (("HELD",), {}, {"done": "held", "next_start": 0}),
    "high whenever idle": (("WHENEVER_IDLE",), {}, {"done": "idle", "busy_until": 0}),
    "a state of its own": (("DONE_STATE",), {}, {"done": "pulse", "next_start": 1, "busy_until": 1}),
    "busy ends before done": (("DONE_STATE", "BUSY_WORKING"), {}, {"next_start": 1, "busy_until": 0}),
    "until start is low": (("DONE_STATE", "ACKNOWLEDGED"), {}, {"done": "acknowledged"}),
    "a rising start": (("RISING",), {}, {"start": "rising", "done": "pulse"}),
    "registered inputs": (("REGISTERED_INPUTS", "HELD"), {}, {"done": "held", "clocks": 9}),
    "a time that depends on the number": (("SUBTRACTS",), {}, {"done": "pulse", "clocks": 8}),
    "restarts": (("RESTARTS",), {"start_while_busy": "restart"}, {"done": "pulse"}),
    "restarts and whatever": (("RESTARTS",), {"start_while_busy": "any"}, {"done": "pulse"}),
    "ignores and whatever": ((), {"start_while_busy": "any"}, {"done": "pulse"}),
    "a result for one clock": (("FORGETS",), {"holds_result": False}, {"done": "pulse"}),
    "just in time": ((), {"max_cycles": 8}, {}),
    "slow, but in time": (("SLOW",), {"max_cycles": 20}, {}),
}  # fmt: skip


@pytest.mark.parametrize(("defines", "options", "facts"), RIGHT.values(), ids=RIGHT)
def test_every_usual_handshake_passes_and_is_measured(tmp_path, defines, options, facts):
    _, left = standing(tmp_path, defines, options)
    assert left
    assert facts.items() <= left[0].measured.items()


WRONG = {
    "the number is taken a clock late": (("LATE_CAPTURE",), {}),
    "one number has a wrong digit": (("WRONG",), {}),
    "the result does not stay": (("FORGETS",), {}),
    "done before the result is there": (("EARLY",), {}),
    "done for two clocks": (("LONG_PULSE",), {}),
    "a start during a conversion begins anew": (("RESTARTS",), {}),
    "a start during a conversion is ignored": ((), {"start_while_busy": "restart"}),
    "some starts are lost": (("DROPS",), {}),
    "a clock later than promised": ((), {"max_cycles": 7}),
    "late for one number": (("SLOW",), {"max_cycles": 8}),
}


@pytest.mark.parametrize(("defines", "options"), WRONG.values(), ids=WRONG)
def test_every_broken_promise_fails(tmp_path, defines, options):
    candidates, left = standing(tmp_path, defines, options)
    assert candidates
    assert left == []


@pytest.mark.parametrize("roles", [("start", "done"), ("start", "busy"), ("start", "done", "busy")])
def test_two_of_the_three_control_ports_are_enough(tmp_path, roles):
    assert standing(tmp_path, (), {}, roles)[1]
    assert standing(tmp_path, ("WRONG",), {}, roles)[1] == []
    assert standing(tmp_path, ("RESTARTS",), {}, roles)[1] == []


@pytest.mark.parametrize("style", ["PLAIN", "DONE_STATE", "SUBTRACTS", "LATE_CAPTURE"])
def test_a_converter_that_starts_itself_converts_what_was_there_when_it_started(tmp_path, style):
    """When that is, is its own choice, but always the same."""
    assert standing(tmp_path, ("FREE", style), {}, ("done",))[1]


@pytest.mark.parametrize("flaw", ["WRONG", "MIXES"])
def test_a_converter_that_starts_itself_fails_on_a_wrong_digit(tmp_path, flaw):
    assert standing(tmp_path, ("FREE", flaw), {}, ("done",))[1] == []


def test_a_start_in_the_clock_of_done_is_told_apart(tmp_path):
    """Accepted in that clock, or only in the next: the second design loses starts under the first."""
    _, left = standing(tmp_path, ("DONE_STATE",))
    assert {c.measured["next_start"] for c in left} == {1}
    _, left = standing(tmp_path)
    assert {c.measured["next_start"] for c in left} == {0}


def model_of(options=None, roles=("start", "done"), **shape):
    return FAMILY.candidates({**shape_of(*roles), **shape}, options or {}, True)[0].model


def trace_of(model, changes, length):
    """An observation in which only ``done`` matters."""
    cycles = [0, *(c for c, _ in changes)]
    zeros = [0] * len(cycles)
    columns = [zeros if s.name != "done" else [0, *(v for _, v in changes)] for s in model.outputs]
    return ObservedTrace(
        model.outputs,
        length,
        np.array(cycles),
        tuple(column(c, s.width) for c, s in zip(columns, model.outputs, strict=True)),
    )


def test_done_is_expected_when_it_came_and_at_the_deadline_when_it_did_not():
    model = model_of({"max_cycles": 9})
    asked = Stimulus.of(model.inputs, [Run(1, (5, 1)), Run(19, (0, 0))])
    for came, wanted in (([(4, 1), (5, 0)], 4), ([(12, 1), (13, 0)], 9), ([], 9)):
        trace, _ = expect(model.follow(asked, trace_of(model, came, 20)), asked, ResetKind.SYNCHRONOUS)
        done = trace.values[1]
        assert trace.cycles[done == 1].tolist() == [wanted]


def test_a_conversion_goes_on_in_the_next_burst():
    """As for a design without reset, whose golden state is carried from burst to burst."""
    model = model_of({"max_cycles": 30})
    first = Stimulus.of(model.inputs, [Run(1, (37, 1)), Run(3, (0, 0))])
    second = Stimulus.of(model.inputs, [Run(20, (0, 0))])
    _, state = expect(model.follow(first, trace_of(model, [], 4)), first, ResetKind.SYNCHRONOUS)
    followed = model.follow(second, trace_of(model, [(5, 1), (6, 0)], 20))
    trace, _ = expect(followed, second, ResetKind.SYNCHRONOUS, state)
    row = np.searchsorted(trace.cycles, 5, side="right") - 1
    assert trace.cycles[row] == 5
    assert (trace.values[0][row], trace.values[1][row], trace.cares[0][row]) == (0x37, 1, 0xFF)


def test_nothing_is_promised_of_the_digits_before_the_first_conversion_is_done():
    model = model_of()
    assert model.cares(model.initial(), (0, 0)) == (0, 1)


def test_after_a_start_that_nobody_knows_about_all_is_open_until_the_deadline_has_passed():
    model = model_of({"start_while_busy": "any", "max_cycles": 10}, ("start", "done", "busy"))
    state = model.next(model.initial(), (5, 1))
    state = model.next(state, (6, 1))
    open_cycles = 0
    while model.cares(state, (0, 0))[1] == 0:
        assert model.cares(state, (0, 0)) == (0, 0, 0)
        state = model.next(state, (0, 0))
        open_cycles += 1
    assert open_cycles >= 10
    assert model.cares(state, (0, 0)) == (0, 1, 1)


def test_a_wide_number_gets_a_deadline_that_any_usual_method_keeps():
    assert model_of().max_cycles == 80
    assert model_of(binary=(8,), bcd=(12,)).max_cycles == 272
    assert model_of(binary=(64,), bcd=(80,)).max_cycles == 4112


def test_overflow_and_the_largest_number_are_those_of_the_converter():
    model = model_of({"overflow": "any", "max_value": 50}, binary=(6,), bcd=(4,))
    assert model.limits == {"binary": 50}
    state = model.initial()
    for values in ((10, 1), *[(0, 0)] * 60):
        state = model.next(state, values)
    assert model.cares(state, (0, 0)) == (0, 1)


@pytest.mark.parametrize(
    ("roles", "shape", "options", "message"),
    [
        (("busy",), {}, {}, "busy: found no port for start or done, expected start or done bound beside it"),
        (("start", "done"), {"done": (2,)}, {}, "done: found a port of 2 bits, expected one bit"),
        (("start", "done"), {}, {"max_cycles": 0}, "max_cycles: found 0, expected an integer from 1"),
        (("start", "done"), {}, {"holds_result": 1}, "holds_result: found 1, expected true or false"),
        (("start", "done"), {}, {"start_while_busy": "no"}, "start_while_busy: found 'no'"),
    ],
)
def test_what_no_converter_can_have_is_refused_by_name(roles, shape, options, message):
    with pytest.raises(OptionError, match=message):
        model_of(options, roles, **shape)


def test_an_unknown_done_is_not_done():
    signals = (Signal("done", 1),)
    trace = ObservedTrace(
        signals, 10, np.array([0, 3, 5, 8]), (column([0, 1, 1, 0], 1),), (column([0, 1, 0, 0], 1),)
    )
    schedule = Schedule.read(trace, Roles(True, True, False), 0)
    assert [schedule.next(c) for c in (0, 3, 5, 7, 8)] == [5, 5, 5, 7, None]


def test_the_default_handshake_is_the_usual_one():
    assert model_of().handshake == Handshake("pulse", 0, 0, False, 0)
