"""Timers in real Verilog: which are one, which are not, and what is measured of them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fitting import effective, facts, fitting

from verify.models.family import OptionError
from verify.models.playing import ResetKind, expect
from verify.models.timer import FAMILY
from verify.signals import ObservedTrace, Reset, Run, Stimulus

CONTROLS = {"enable": (1,), "clear": (1,)}
STAGES = {"stages": (2, 2)}
THREES = {"ratio": 5, "modulo": [3, 3]}
LOADS = {"load": (1,), "load_values": (2, 2)}


def timer(
    *,
    ratio: int = 5,
    prescale: str = "if (clear) n <= 0; else if (enable) n <= full ? 0 : n + 1;",
    step: str = "enable & full",
    count: str = "if (clear) {b, a} <= 0; else if (step) begin `UP end",
    reset: str = "{b, a} <= 0",
    more: str = "",
    ports: str = "",
    start: int = 0,
) -> str:
    """Two stages of three states behind a prescaler; the pieces can be exchanged."""
    up = "a <= a == 2 ? 0 : a + 1; if (a == 2) b <= b == 2 ? 0 : b + 1;"
    down = "a <= a == 0 ? 2 : a - 1; if (a == 0) b <= b == 0 ? 2 : b - 1;"
    return f"""module dut(input clk, input rst, input enable, input clear, {ports}
        output [1:0] stages_0, output [1:0] stages_1);
      reg [1:0] a, b; reg [7:0] n; assign stages_0 = a; assign stages_1 = b;
      wire full = n == {ratio - 1}; {more}
      wire step = {step};
      always @(posedge clk) if (rst) n <= {start}; else begin {prescale} end
      always @(posedge clk) if (rst) {reset}; else {count.replace("`UP", up).replace("`DOWN", down)}
    endmodule"""


FLOWING = {
    "more": "reg t; always @(posedge clk) t <= !rst & !clear & enable & full;",
    "step": "t",
}
FROZEN = {
    "more": "reg t; always @(posedge clk) if (rst | clear) t <= 0; else if (enable) t <= full;",
    "step": "enable & t",
}


@pytest.mark.parametrize("ratio", [1, 2, 5])
def test_a_step_in_the_last_clock_of_the_period_comes_after_ratio_clocks(tmp_path, ratio):
    shape, options = {**STAGES, **CONTROLS}, {**THREES, "ratio": ratio}
    found = fitting(timer(ratio=ratio), tmp_path, "timer", shape, options)
    assert facts(found, "first") == {ratio}
    assert effective(found) == {0}


def test_a_tick_register_makes_the_first_step_a_clock_late(tmp_path):
    for pieces, in_pause in ((FLOWING, "comes"), (FROZEN, "waits")):
        found = fitting(timer(**pieces), tmp_path, "timer", {**STAGES, **CONTROLS}, THREES)
        assert facts(found, "first") == {6}
        assert facts(found, "tick_in_pause") == {in_pause}
        assert effective(found) == {1}


def test_registers_behind_the_stages_are_a_latency(tmp_path):
    late = timer(more="reg [3:0] r; always @(posedge clk) r <= {b, a};").replace("= a;", "= r[1:0];")
    found = fitting(late.replace("= b;", "= r[3:2];"), tmp_path, "timer", {**STAGES, **CONTROLS}, THREES)
    assert {r.latency_cycles for r in found} == {1}
    assert facts(found, "first") == {5}


def test_a_first_period_one_clock_short_is_measured_and_two_are_refused(tmp_path):
    shape = {**STAGES, **CONTROLS}
    assert facts(fitting(timer(start=1), tmp_path, "timer", shape, THREES), "first") == {4}
    assert not fitting(timer(start=2), tmp_path, "timer", shape, THREES)


GATED = {"prescale": "if (clear) n <= 0; else n <= full ? 0 : n + 1;"}
RIGHT = {
    "gated": (timer(**GATED), {"pause": "gate"}),
    "gated, enable looked at when the tick arises": (timer(**GATED, **FLOWING), {"pause": "gate"}),
    "gated, enable looked at when the stages step": (
        timer(**GATED, more="reg t; always @(posedge clk) t <= !rst & !clear & full;", step="enable & t"),
        {"pause": "gate"},
    ),
    "clear leaves the prescaler alone": (
        timer(prescale="if (enable) n <= full ? 0 : n + 1;"),
        {"clear": "stages"},
    ),
    "clear leaves the prescaler waiting": (
        timer(prescale="if (enable & !clear) n <= full ? 0 : n + 1;"),
        {"clear": "stages"},
    ),
    "clear leaves prescaler and tick alone": (
        timer(
            prescale="if (enable) n <= full ? 0 : n + 1;",
            more="reg t; always @(posedge clk) t <= !rst & enable & full;",
            step="t",
        ),
        {"clear": "stages"},
    ),
    "down": (timer(count="if (clear) {b, a} <= 0; else if (step) begin `DOWN end"), {"direction": "down"}),
    "starts in the middle, clears to it": (
        timer(count="if (clear) {b, a} <= 4'b0110; else if (step) begin `UP end", reset="{b, a} <= 4'b0110"),
        {"start": [2, 1]},
    ),
    "starts in the middle, clears to zero": (timer(reset="{b, a} <= 4'b0110"), {"start": [2, 1]}),
    "stops at the end": (
        timer(count="if (clear) {b, a} <= 0; else if (step & {b, a} != 4'b1010) begin `UP end"),
        {"at_end": "stop"},
    ),
}


@pytest.mark.parametrize("start", [2, 4])
def test_a_first_period_of_any_length_can_be_pinned(tmp_path, start):
    shape, verilog = {**STAGES, **CONTROLS}, timer(start=start)
    assert not fitting(verilog, tmp_path, "timer", shape, THREES)
    assert fitting(verilog, tmp_path, "timer", shape, {**THREES, "first": 5 - start})
    assert not fitting(verilog, tmp_path, "timer", shape, {**THREES, "first": 6 - start})


@pytest.mark.parametrize("style", RIGHT)
def test_right_timers_fit_their_own_options_and_not_the_usual_ones(tmp_path, style):
    verilog, options = RIGHT[style]
    shape = {**STAGES, **CONTROLS}
    assert fitting(verilog, tmp_path, "timer", shape, {**THREES, **options})
    assert not fitting(verilog, tmp_path, "timer", shape, THREES)


FLAWS = {
    "period too long": timer(ratio=6),
    "period too short": timer(ratio=4),
    "second stage steps a clock late": timer(
        more="reg c; always @(posedge clk) c <= !rst & !clear & enable & full & a == 2;",
        count="if (clear) {b, a} <= 0; else begin if (step) a <= a == 2 ? 0 : a + 1; "
        "if (c) b <= b == 2 ? 0 : b + 1; end",
    ),
    "second stage rolls over at four": timer().replace("b == 2 ?", "b == 3 ?"),
    "a tick is lost in a pause": timer(**{**FLOWING, "step": "enable & t"}),
    "a tick repeats in a pause": timer(**{**FROZEN, "step": "t"}),
    "pause starts the second anew": timer(
        prescale="if (clear | !enable) n <= 0; else n <= full ? 0 : n + 1;"
    ),
    "prescaler is not cleared": timer(prescale="if (enable) n <= full ? 0 : n + 1;"),
    "a tick survives the clear": timer(
        more="reg t; always @(posedge clk) t <= !rst & enable & full;", step="t"
    ),
    "clear only while enabled": timer(
        count="if (clear & enable) {b, a} <= 0; else if (step) begin `UP end",
        prescale="if (enable) n <= (full | clear) ? 0 : n + 1;",
    ),
    "second stage is not cleared": timer(count="if (clear) a <= 0; else if (step) begin `UP end"),
    "the prescaler is not reset": timer().replace("if (rst) n <= 0; else", "if (n === 8'bx) n <= 0; else"),
    "enable is ignored": timer(prescale="if (clear) n <= 0; else n <= full ? 0 : n + 1;", step="full"),
}


@pytest.mark.parametrize("flaw", FLAWS)
def test_a_flawed_timer_fits_nothing(tmp_path, flaw):
    assert not fitting(FLAWS[flaw], tmp_path, "timer", {**STAGES, **CONTROLS}, THREES)


def countdown(
    *,
    done: str = "assign done = zero;",
    run: str = "enable & !zero",
    at_load: str = "n <= 0;",
    ports: str = "input clear, ",
) -> str:
    """A loadable countdown to zero."""
    return f"""module dut(input clk, input rst, input enable, input load, input [1:0] load_values_0,
        input [1:0] load_values_1, output [1:0] stages_0, output [1:0] stages_1, output done);
      reg [1:0] a, b; reg [7:0] n; assign stages_0 = a; assign stages_1 = b;
      wire zero = a == 0 & b == 0, full = n == 4, last = a == 1 & b == 0; {done}
      always @(posedge clk)
        if (rst) {{n, b, a}} <= 0;
        else if (load) begin a <= load_values_0; b <= load_values_1; {at_load} end
        else if ({run}) begin
          n <= full ? 0 : n + 1;
          if (full & !zero) begin a <= a == 0 ? 2 : a - 1; if (a == 0) b <= b - 1; end
        end
    endmodule"""


COUNTDOWN = {**STAGES, **LOADS, "enable": (1,), "done": (1,)}
DOWN = {**THREES, "direction": "down", "at_end": "stop"}
DONES = {
    "level": "assign done = zero;",
    "reached": "reg done; always @(posedge clk) "
    "if (rst | load) done <= 0; else if (enable & full & last) done <= 1;",
    "after": "reg done; always @(posedge clk) done <= !rst & !load & enable & full & last;",
}


@pytest.mark.parametrize("meaning", DONES)
def test_each_meaning_of_done_at_a_stop_is_measured(tmp_path, meaning):
    found = fitting(countdown(done=DONES[meaning]), tmp_path, "timer", COUNTDOWN, DOWN, rest=10)
    assert facts(found, "done_is") == {meaning}
    assert facts(found, "prescaler_at_load") == {"back"}


@pytest.mark.parametrize(("run", "prescaler"), [("enable & !zero", "stands"), ("enable", "runs")])
def test_a_prescaler_that_a_load_leaves_alone_shows_whether_it_stood_at_the_end(tmp_path, run, prescaler):
    waits = countdown(run=run, at_load="")
    runs = countdown(run=run, at_load=f"if ({run}) n <= full ? 0 : n + 1;")
    for verilog, at_load in ((waits, "waits"), (runs, "runs")):
        found = fitting(verilog, tmp_path, "timer", COUNTDOWN, DOWN, rest=10)
        assert facts(found, "prescaler_at_load") == {at_load}
        assert facts(found, "prescaler_at_end") == {prescaler}


@pytest.mark.parametrize(
    "flawed",
    [
        countdown(
            done="reg f; assign done = zero | f; "
            "always @(posedge clk) if (rst) f <= 0; else if (zero) f <= 1;"
        ),
        countdown(done="assign done = a == 0;"),
        countdown(done="reg done; always @(posedge clk) done <= zero;"),
        countdown().replace("full & !zero", "full").replace("enable & !zero", "enable"),
        countdown().replace("a <= load_values_0", "a <= load_values_0 & 1"),
        countdown(at_load="n <= 1;"),
        countdown(run="!zero"),
    ],
)
def test_a_flawed_countdown_fits_nothing(tmp_path, flawed):
    assert not fitting(flawed, tmp_path, "timer", COUNTDOWN, DOWN, rest=10)


WRAP_DONES = {
    "level": "assign done = a == 2 & b == 2;",
    "after": "reg done; always @(posedge clk) done <= !rst & !clear & step & a == 2 & b == 2;",
    "at_step": "assign done = step & a == 2 & b == 2;",
}
TICKS = {
    "last clock": "assign tick = step;",
    "first clock": "reg tick; always @(posedge clk) tick <= !rst & !clear & step;",
}


@pytest.mark.parametrize("done", WRAP_DONES)
@pytest.mark.parametrize("tick", TICKS)
def test_tick_and_done_of_a_timer_that_wraps_are_measured(tmp_path, tick, done):
    verilog = timer(ports="output tick, output done,").replace(
        "always", f"{TICKS[tick]} {WRAP_DONES[done]} always", 1
    )
    shape = {**STAGES, **CONTROLS, "tick": (1,), "done": (1,)}
    found = fitting(verilog, tmp_path, "timer", shape, THREES, rest=120)
    assert facts(found, "tick_at") == {tick}
    assert facts(found, "done_is") == {done}


def test_a_tick_two_clocks_long_or_a_clock_late_fits_nothing(tmp_path):
    shape = {**STAGES, **CONTROLS, "tick": (1,)}
    for tick in (
        "reg t; assign tick = t | step; always @(posedge clk) t <= !rst & !clear & step;",
        "reg t, tick; always @(posedge clk) {tick, t} <= rst | clear ? 0 : {t, step};",
    ):
        verilog = timer(ports="output tick,").replace("always", f"{tick} always", 1)
        assert not fitting(verilog, tmp_path, "timer", shape, THREES)


@pytest.mark.parametrize("phase", [2, 3, 4])
def test_without_reset_the_phase_of_the_prescaler_is_read_off(tmp_path, phase):
    verilog = timer(more=f"initial begin n = {phase - 2}; a = 0; b = 0; end").replace("if (rst)", "if (0)")
    verilog = verilog.replace("input clear,", "").replace("if (clear) n <= 0; else", "")
    verilog = verilog.replace("if (clear) {b, a} <= 0; else", "")
    shape = {**STAGES, "enable": (1,)}
    found = fitting(verilog, tmp_path, "timer", shape, THREES, reset=False)
    assert facts(found, "first") == {5 - phase}
    assert {r.latency_cycles for r in found} == {0}
    assert not fitting(verilog, tmp_path, "timer", shape, {**THREES, "ratio": 6}, reset=False)
    for first in (5 - phase, 6 - phase):  # a pin of it holds, and one of another phase does not fit
        pinned = fitting(verilog, tmp_path, "timer", shape, {**THREES, "first": first}, reset=False)
        assert bool(pinned) == (first == 5 - phase)
        assert facts(pinned, "first") <= {None}


def test_a_clear_puts_a_timer_without_reset_in_order(tmp_path):
    verilog = timer().replace("if (rst)", "if (0)")
    found = fitting(verilog, tmp_path, "timer", {**STAGES, **CONTROLS}, THREES, reset=False)
    assert facts(found, "before_clear") == {"unknown"}
    wrong = timer(ratio=6).replace("if (rst)", "if (0)")
    assert not fitting(wrong, tmp_path, "timer", {**STAGES, **CONTROLS}, THREES, reset=False)


def test_stages_with_names_that_are_not_bound_are_counted_all_the_same():
    model = FAMILY.candidates({"minutes": (6,), "hours": (5,)}, {"ratio": 10, "modulo": [60, 24]}, True)[
        0
    ].model
    trace, _ = expect(model, Stimulus.of((), [Run(86_400 * 10)]), ResetKind.SYNCHRONOUS)
    assert len(trace.cycles) == 24 * 60
    assert trace.cycles[1] == 600


def test_an_observation_rules_out_registers_that_cannot_be_there():
    shape = {**STAGES, **CONTROLS}
    every = FAMILY.candidates(shape, THREES, True)
    model = every[0].model
    stimulus = Stimulus.of(model.inputs, [Run(2, (1, 0), Reset.HELD), Run(20, (1, 0))])
    leap = model.leap(model.initial(), (1, 0), 20)
    shifted = leap.offsets + 2
    shifted[0] = 0
    observed = ObservedTrace(model.outputs, 22, shifted, leap.columns)
    kept = FAMILY.candidates(shape, THREES, True, (stimulus, observed))
    assert {c.measured["first"] for c in kept} == {4, 5}
    assert {c.measured["first"] for c in every} == set(range(4, 14))


def test_an_impossible_stage_value_leaves_everything_open_until_a_proper_load():
    model = FAMILY.candidates({**STAGES, **LOADS}, THREES, True)[0].model
    assert model.limits == {"load_values[0]": 2, "load_values[1]": 2}
    state = model.next(model.initial(), (1, 3, 0))
    for _ in range(3):
        assert model.cares(state, (0, 0, 0)) == (0, 0)
        state = model.next(state, (0, 0, 0))
    state = model.next(state, (1, 2, 1))
    assert model.cares(state, (0, 0, 0)) == (3, 3)
    assert model.out(state, (0, 0, 0)) == (2, 1)


@pytest.mark.parametrize(
    ("shape", "options", "match"),
    [
        ({"tick": (1,)}, {"ratio": 5}, "stages: found no stage, expected stages, or some of seconds"),
        (
            {"stages": (6,), "seconds": (6,)},
            {"ratio": 5},
            "seconds: found seconds and stages, expected either",
        ),
        ({"stages": (6, 6)}, {"ratio": 5}, r"modulo: found nothing, expected states of each stage"),
        (
            {"stages": (6, 6)},
            {"ratio": 5, "modulo": [60]},
            "modulo: found 1 numbers, expected 2, fastest first",
        ),
        ({"stages": (6,)}, {"ratio": 5, "modulo": [1]}, "modulo: found 1, expected integers from 2"),
        ({"stages": (6,)}, {"ratio": 5, "modulo": 60}, "modulo: found 60, expected a list"),
        ({"seconds": (5,)}, {"ratio": 5}, "seconds: found a port of 5 bits, expected 6 bits for 60 states"),
        ({"seconds": (6,), "hours": (7,)}, {"ratio": 5, "modulo": [60]}, "modulo: found 1 numbers"),
        ({"seconds": (6,)}, {}, "ratio: found nothing, expected clocks per step"),
        ({"seconds": (6,)}, {"ratio": 5, "start": [60]}, "start: found 60, expected less than 60"),
        ({"seconds": (6,)}, {"ratio": 5, "first": 0}, "first: found 0, expected an integer from 1"),
        (
            {"seconds": (6,)},
            {"ratio": 5, "at_end": "hold"},
            'at_end: found \'hold\', expected "wrap" or "stop"',
        ),
        (
            {"seconds": (6,), "load": (1,)},
            {"ratio": 5},
            "load: found a port, expected load_values bound as well",
        ),
        (
            {"seconds": (6,), "minutes": (6,), "load": (1,), "load_values": (6,)},
            {"ratio": 5},
            "load_values: found 1 ports, expected 2, one per stage",
        ),
        ({"seconds": (6,), "tick": (2,)}, {"ratio": 5}, "tick: found a port of 2 bits"),
    ],
)
def test_what_no_timer_can_be_is_refused(shape, options, match):
    with pytest.raises(OptionError, match=match):
        FAMILY.candidates(shape, options, True)


def test_landmarks_come_before_a_change_of_the_stages():
    shape = {"seconds": (6,), "minutes": (6,), "hours": (7,), **CONTROLS}
    for candidate in FAMILY.candidates(shape, {"ratio": 50_000_000}, True):
        model = candidate.model
        for mark in model.landmarks():
            state = model.leap(model.initial(), (1, 0), mark).state
            assert model.leap(state, (1, 0), 2).offsets.tolist() == [0, 1]
        assert model.landmarks()[-1] <= model.full_cycle + model.ratio


def test_the_wrap_after_100_hours_is_a_landmark():
    model = FAMILY.candidates({"seconds": (6,), "minutes": (6,), "hours": (7,)}, {"ratio": 9}, True)[0].model
    last = 360_000 * 9 - 1
    assert last in model.landmarks()
    assert model.leap(model.leap(model.initial(), (), last).state, (), 2).columns[2].tolist() == [99, 0]
    assert model.full_cycle == last + 1


def test_models_are_values():
    model = FAMILY.candidates({"seconds": (6,)}, {"ratio": 5}, True)[0].model
    assert model == replace(model)
    assert hash(model) == hash(replace(model))


@pytest.mark.parametrize(("states", "fits"), [(7, True), (8, False), (None, False)])
def test_a_chain_that_wraps_before_its_digits_are_full_has_so_many_states(tmp_path, states, fits):
    count = "if (clear) {b, a} <= 0; else if (step) begin if (b == 2) {b, a} <= 0; else begin `UP end end"
    options = THREES if states is None else {**THREES, "states": states}
    found = fitting(timer(count=count), tmp_path, "timer", {**STAGES, **CONTROLS}, options)
    assert bool(found) == fits
