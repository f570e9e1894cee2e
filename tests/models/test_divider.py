"""Clock dividers in real Verilog: which are one, which are not, and what is measured of them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fitting import disturbed, effective, facts, fitting
from observing import observe

from verify.models.divider import FAMILY
from verify.models.family import OptionError
from verify.signals import Reset, Run, Stimulus

TICK = {"tick": (1,)}
SQUARE = {"square": (1,)}
CONTROLS = {"enable": (1,), "clear": (1,)}


def counting(ratio: int, output: str, *, controls: bool = True, extra: str = "", start: int = 0) -> str:
    """A counter of clocks; ``output`` declares and drives the output from ``n`` and ``full``."""
    ports = "input enable, input clear, " if controls else ""
    wires = "" if controls else "wire enable = 1, clear = 0;"
    return f"""module dut(input clk, input rst, {ports}{output.split(";", maxsplit=1)[0]});
      {wires}
      reg [7:0] n;
      wire full = n == {ratio - 1};
      always @(posedge clk)
        if (rst) n <= {start};
        else if (clear) n <= 0;
        else if (enable) n <= full ? 0 : n + 1;
      {extra}
      {";".join(output.split(";")[1:])}
    endmodule"""


EARLY = "output tick; assign tick = enable & full;"
REGISTERED = "output reg tick; always @(posedge clk) tick <= !rst & !clear & enable & full;"


@pytest.mark.parametrize("ratio", [1, 2, 5])
def test_a_registered_tick_comes_after_the_period(tmp_path, ratio):
    found = fitting(counting(ratio, REGISTERED), tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": ratio})
    assert facts(found, "first") == {ratio}
    assert effective(found) == {0}


@pytest.mark.parametrize("ratio", [1, 2, 5])
def test_a_decoded_tick_marks_the_last_clock_of_the_period(tmp_path, ratio):
    found = fitting(counting(ratio, EARLY), tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": ratio})
    assert facts(found, "first") == {ratio - 1}
    assert effective(found) == {-1}


@pytest.mark.parametrize("latency", [0, 1, 4, 8])
def test_every_register_behind_the_tick_makes_it_a_clock_later(tmp_path, latency):
    chain = f"""output tick; reg [9:0] line; assign tick = line[{latency}];
      always @(posedge clk) line <= rst ? 0 : {{line, !clear & enable & full}};"""
    found = fitting(counting(5, chain), tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": 5})
    assert facts(found, "first") == {5 + latency}
    assert effective(found) == {latency}


def test_a_ninth_register_is_one_too_many(tmp_path):
    chain = """output tick; reg [9:0] line; assign tick = line[9];
      always @(posedge clk) line <= rst ? 0 : {line, !clear & enable & full};"""
    assert not fitting(counting(17, chain), tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": 17})


def test_a_tick_may_or_may_not_survive_a_clear_in_the_same_clock(tmp_path):
    for output in (
        REGISTERED,
        REGISTERED.replace("& !clear ", ""),
        EARLY,
        EARLY.replace("full", "full & !clear"),
    ):
        assert fitting(counting(4, output), tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": 4}), output


def test_a_terminal_count_that_freezes_with_the_count_is_a_tick_too(tmp_path):
    held = """output tick; reg last; assign tick = last & enable;
      always @(posedge clk) if (rst | clear) last <= 0; else if (enable) last <= full;"""
    found = fitting(counting(6, held), tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": 6})
    assert facts(found, "first") == {6}


WRONG_TICKS = {
    "ratio one too large": counting(7, REGISTERED),
    "ratio one too small": counting(5, REGISTERED),
    "two clocks long": counting(6, "output tick; reg t, u; assign tick = t | u; always @(posedge clk) "
                                   "if (rst) {t, u} <= 0; else {t, u} <= {!clear & enable & full, t};"),
    "stays high through a pause": counting(
        6, "output reg tick; always @(posedge clk) if (rst | clear) tick <= 0; else if (enable) tick <= full;"
    ),
    "decoded without enable": counting(6, "output tick; assign tick = full;"),
    "clear is ignored": counting(6, REGISTERED).replace("else if (clear) n <= 0;", ""),
    "enable is ignored": counting(6, REGISTERED).replace("else if (enable)", "else"),
    "clear only while enabled": counting(6, REGISTERED).replace("if (clear)", "if (clear & enable)"),
    "first period short by two": counting(6, REGISTERED, start=2),
    "pause starts the period anew": counting(6, REGISTERED).replace(
        "else if (enable)", "else if (!enable) n <= 0; else"
    ),
}  # fmt: skip


@pytest.mark.parametrize("flaw", WRONG_TICKS)
def test_a_flawed_tick_fits_nothing(tmp_path, flaw):
    shape, options = {**TICK, **CONTROLS}, {"ratio": 6}
    assert fitting(counting(6, REGISTERED), tmp_path, "divider", shape, options)
    assert not fitting(WRONG_TICKS[flaw], tmp_path, "divider", shape, options)


def test_a_low_active_tick_has_to_be_called_so(tmp_path):
    low = "output tick; assign tick = ~(enable & full);"
    shape = {**TICK, **CONTROLS}
    assert fitting(counting(4, low), tmp_path, "divider", shape, {"ratio": 4, "active": "low"})
    assert not fitting(counting(4, low), tmp_path, "divider", shape, {"ratio": 4})


def test_a_pinned_first_tick_is_required(tmp_path):
    shape, options = {**TICK, **CONTROLS}, {"ratio": 6}
    right = counting(6, REGISTERED)
    assert fitting(right, tmp_path, "divider", shape, {**options, "first": 6})
    assert not fitting(right, tmp_path, "divider", shape, {**options, "first": 7})
    assert not fitting(right, tmp_path, "divider", shape, {**options, "first": 5})


SQUARES = {
    "decoded, low first": ("output square; assign square = n >= {low};", 0, 0),
    "decoded, high first": ("output square; assign square = n < {high};", 1, 0),
    "registered, low first": ("output reg square; always @(posedge clk) square <= !rst & n >= {low};", 0, 1),
    "registered, high first": ("output reg square; always @(posedge clk) square <= !rst & n < {high};", 1, 1),
    "registered and frozen, low first": (
        "output reg square; always @(posedge clk) "
        "if (rst | clear) square <= 0; else if (enable) square <= n >= {low};", 0, 1,
    ),
    "registered and frozen, high first": (
        "output reg square; always @(posedge clk) "
        "if (rst | clear) square <= 0; else if (enable) square <= n < {high};", 1, 1,
    ),
}  # fmt: skip


@pytest.mark.parametrize(("ratio", "high"), [(6, 3), (7, 3), (7, 4)])
@pytest.mark.parametrize("style", SQUARES)
def test_a_square_may_begin_with_either_part(tmp_path, style, ratio, high):
    text, _, late = SQUARES[style]
    verilog = counting(ratio, text.replace("{low}", str(ratio - high)).replace("{high}", str(high)))
    found = fitting(verilog, tmp_path, "divider", {**SQUARE, **CONTROLS}, {"ratio": ratio})
    assert effective(found) == {late}
    if ratio % 2:
        assert facts(found, "high") == {high}


@pytest.mark.parametrize("style", SQUARES)
def test_a_square_of_two_clocks_has_one_latency(tmp_path, style):
    verilog = counting(2, SQUARES[style][0].replace("{low}", "1").replace("{high}", "1"))
    assert len(effective(fitting(verilog, tmp_path, "divider", {**SQUARE, **CONTROLS}, {"ratio": 2}))) == 1


def test_a_square_that_toggles_at_the_half_is_one(tmp_path):
    toggling = """output reg square;
      always @(posedge clk) if (rst | clear) square <= 0; else if (enable & full) square <= ~square;"""
    found = fitting(counting(5, toggling), tmp_path, "divider", {**SQUARE, **CONTROLS}, {"ratio": 10})
    assert facts(found, "first") == {5}
    assert facts(found, "start_level") == {0}


@pytest.mark.parametrize(
    ("pins", "fits"),
    [
        ({}, True),
        ({"start_level": 0}, True),
        ({"start_level": 1}, False),
        ({"high": 4}, True),
        ({"high": 6}, False),
    ],
)
def test_pinned_facts_of_a_square_are_required(tmp_path, pins, fits):
    verilog = counting(10, "output square; assign square = n >= 6;")
    found = fitting(verilog, tmp_path, "divider", {**SQUARE, **CONTROLS}, {"ratio": 10, "high": 4, **pins})
    assert bool(found) is fits


def test_a_square_of_the_wrong_duty_or_period_fits_nothing(tmp_path):
    for verilog in (
        counting(10, "output square; assign square = n >= 4;"),
        counting(9, "output square; assign square = n >= 5;"),
        counting(10, "output square; assign square = n >= 5 & enable;"),
    ):
        assert not fitting(verilog, tmp_path, "divider", {**SQUARE, **CONTROLS}, {"ratio": 10})


@pytest.mark.parametrize("start", [0, 2, 6])
def test_without_reset_the_phase_is_read_off(tmp_path, start):
    for output in (
        "output tick; assign tick = full;",
        "output reg tick = 0; always @(posedge clk) tick <= full;",
    ):
        verilog = counting(7, output, controls=False, extra=f"initial n = {start};").replace(
            "if (rst)", "if (0)"
        )
        assert fitting(verilog, tmp_path, "divider", TICK, {"ratio": 7}, reset=False), output
        assert not fitting(verilog, tmp_path, "divider", TICK, {"ratio": 8}, reset=False), output


@pytest.mark.parametrize("start", [0, 3, 6])
def test_without_reset_the_phase_of_a_square_is_read_off(tmp_path, start):
    verilog = counting(
        7, "output square; assign square = n >= 4;", controls=False, extra=f"initial n = {start};"
    ).replace("if (rst)", "if (0)")
    found = fitting(verilog, tmp_path, "divider", SQUARE, {"ratio": 7}, reset=False)
    assert facts(found, "high") == {3}
    assert not fitting(verilog, tmp_path, "divider", SQUARE, {"ratio": 7, "high": 4}, reset=False)


def test_a_pause_shows_the_latency_of_a_divider_without_reset(tmp_path):
    late = "output reg tick = 0; reg t = 0; always @(posedge clk) {tick, t} <= {t, enable & full};"
    verilog = counting(7, late, extra="initial n = 3;").replace("if (rst)", "if (0)")
    verilog = verilog.replace("input clear, ", "").replace("else if (clear) n <= 0;", "")
    found = fitting(verilog, tmp_path, "divider", {**TICK, "enable": (1,)}, {"ratio": 7}, reset=False)
    assert {r.latency_cycles for r in found} == {1}


def test_a_clear_is_as_good_as_a_reset(tmp_path):
    verilog = counting(7, EARLY).replace("if (rst)", "if (0)")
    found = fitting(verilog, tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": 7}, reset=False)
    assert facts(found, "before_clear") == {"unknown"}
    assert not fitting(verilog, tmp_path, "divider", {**TICK, **CONTROLS}, {"ratio": 8}, reset=False)


def test_the_model_says_what_the_design_does_clock_by_clock(tmp_path):
    model = FAMILY.candidates({**TICK, **CONTROLS}, {"ratio": 3}, True)[0].model
    stimulus = Stimulus.of(
        model.inputs, [Run(2, (1, 0), Reset.HELD), Run(8, (1, 0)), Run(3, (0, 0)), Run(4, (1, 0))]
    )
    observed = observe(counting(3, REGISTERED), stimulus, model.outputs, tmp_path)
    assert observed.values[0].tolist() == [0, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 0, 0, 0, 1, 0, 0]


@pytest.mark.parametrize(
    ("shape", "options", "match"),
    [
        (TICK, {}, "ratio: found nothing, expected clocks per period"),
        (TICK, {"ratio": 0}, "ratio: found 0, expected an integer from 1"),
        (TICK, {"ratio": "fast"}, "ratio: found 'fast', expected an integer"),
        (TICK, {"ratio": 8, "first": 20}, "first: found 20, expected 7 to 16"),
        (TICK, {"ratio": 8, "high": 2}, "high: found 2, expected only with a square"),
        (TICK, {"ratio": 8, "pause": "gate"}, "pause: found 'gate', expected \"freeze\""),
        (TICK, {"ratio": 8, "active": "up"}, 'active: found \'up\', expected "high" or "low"'),
        (TICK, {"ratio": 8, "duty": 2}, "duty: found an option that this model does not have"),
        (SQUARE, {"ratio": 1}, "ratio: found 1, expected at least 2"),
        (SQUARE, {"ratio": 8, "high": 8}, "high: found 8, expected an integer from 1 to 7"),
        (SQUARE, {"ratio": 8, "start_level": 2}, "start_level: found 2"),
        ({"tick": (2,)}, {"ratio": 8}, "tick: found a port of 2 bits, expected a port of one bit"),
        ({"tick": (1,), "square": (1,)}, {"ratio": 8}, "square: found tick and square"),
        ({"enable": (1,)}, {"ratio": 8}, "tick: found neither"),
        ({"tick": (1,), "enable": (1, 1)}, {"ratio": 8}, "enable: found 2 ports, expected one port"),
    ],
)
def test_what_no_divider_can_be_is_refused(shape, options, match):
    with pytest.raises(OptionError, match=match):
        FAMILY.candidates(shape, options, True)


def test_landmarks_are_the_last_clocks_before_the_first_events():
    for candidate in FAMILY.candidates({**TICK, **CONTROLS}, {"ratio": 50_000_000}, True):
        model = candidate.model
        for mark in model.landmarks():
            leap = model.leap(model.initial(), (1, 0), mark + 2)
            assert leap.offsets[-1] in {mark, mark + 1}


def test_a_divider_at_the_native_ratio_costs_its_edges_only():
    model = FAMILY.candidates(SQUARE, {"ratio": 50_000_000}, True)[0].model
    leap = model.leap(model.initial(), (), 3_600 * 50_000_000)
    assert len(leap.offsets) == 7_200
    assert model == replace(model)
    assert disturbed(model, 10, 3, 0, reset=True).length > 10
