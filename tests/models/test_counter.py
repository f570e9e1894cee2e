"""Counters in real Verilog: which are one, which are not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fitting import facts, fitting

from verify.models.counter import FAMILY
from verify.models.family import OptionError

CONTROLS = {"enable": (1,), "clear": (1,)}
LOAD = {"load": (1,), "load_value": (3,)}
FULL = {"count": (3,), **CONTROLS, **LOAD, "up": (1,), "carry": (1,)}
SIX = {"modulo": 6, "carry": "last_state_and_enable"}


def full_counter(
    *,
    order: tuple[str, ...] = ("clear", "load", "enable"),
    carry: str = "assign carry = enable & last;",
    last: str = "up ? q == 5 : q == 0",
    up: str = "q == 5 ? 0 : q + 1",
    down: str = "q == 0 ? 5 : q - 1",
) -> str:
    """A loadable up/down counter modulo 6, its controls in that order."""
    acts = {
        "clear": "if (clear) q <= 0;",
        "load": "if (load) q <= load_value;",
        "enable": "if (!enable) q <= q;",
    }
    chain = " else ".join([*(acts[name] for name in order), f"q <= up ? ({up}) : ({down});"])
    return f"""module dut(input clk, input rst, input enable, input clear, input load, input [2:0] load_value,
        input up, output [2:0] count, output carry);
      reg [2:0] q; assign count = q; wire last = {last}; {carry}
      always @(posedge clk) if (rst) q <= 0; else {chain}
    endmodule"""


def test_a_loadable_up_down_counter_is_one(tmp_path):
    found = fitting(full_counter(), tmp_path, "counter", FULL, SIX)
    assert {r.latency_cycles for r in found} == {0}


@pytest.mark.parametrize(
    "order",
    [
        ("load", "clear", "enable"),
        ("enable", "clear", "load"),
        ("clear", "enable", "load"),
        ("load", "enable", "clear"),
    ],
)
def test_the_priority_of_the_controls_is_as_pinned_and_no_other(tmp_path, order):
    verilog = full_counter(order=order)
    assert fitting(verilog, tmp_path, "counter", FULL, {**SIX, "priority": list(order)})
    assert not fitting(verilog, tmp_path, "counter", FULL, SIX)


CARRIES = {
    "last_state": "assign carry = last;",
    "last_state_and_enable": "assign carry = enable & last;",
    "after_wrap": "reg carry; always @(posedge clk) carry <= !rst & !clear & !load & enable & last;",
}


@pytest.mark.parametrize("pinned", CARRIES)
def test_each_meaning_of_carry_is_told_from_the_others(tmp_path, pinned):
    for meaning, text in CARRIES.items():
        found = fitting(full_counter(carry=text), tmp_path, "counter", FULL, {"modulo": 6, "carry": pinned})
        assert bool(found) is (meaning == pinned), meaning


def test_a_carry_may_or_may_not_be_held_back_by_clear_and_load(tmp_path):
    for text in (
        "assign carry = enable & last & !clear & !load;",
        "assign carry = enable & last & !load;",
    ):
        assert fitting(full_counter(carry=text), tmp_path, "counter", FULL, SIX)
    free = "reg carry; always @(posedge clk) carry <= !rst & enable & last;"
    assert fitting(full_counter(carry=free), tmp_path, "counter", FULL, {"modulo": 6, "carry": "after_wrap"})


FLAWS = {
    "wraps late": full_counter(up="q == 6 ? 0 : q + 1"),
    "wraps early": full_counter(up="q == 4 ? 0 : q + 1"),
    "down wraps to 6": full_counter(down="q == 0 ? 6 : q - 1"),
    "up is ignored": full_counter(down="q == 5 ? 0 : q + 1"),
    "carry only upwards": full_counter(last="q == 5"),
    "carry a state late": full_counter(last="up ? q == 0 : q == 5"),
    "carry stays through a pause": full_counter(
        carry="reg carry; always @(posedge clk) "
        "if (rst | clear | load) carry <= 0; else if (enable) carry <= last;"
    ),
    "steps by two": full_counter(up="q >= 4 ? q - 4 : q + 2"),
    "clear goes to one": full_counter().replace("if (clear) q <= 0", "if (clear) q <= 1"),
    "reset goes to one": full_counter().replace("if (rst) q <= 0", "if (rst) q <= 1"),
    "loads all but one bit": full_counter().replace("q <= load_value", "q <= load_value & 6"),
    "enable is ignored": full_counter(order=("clear", "load")),
}


@pytest.mark.parametrize("flaw", FLAWS)
def test_a_flawed_counter_fits_nothing(tmp_path, flaw):
    options = {"modulo": 6, "carry": "after_wrap"} if "pause" in flaw else SIX
    assert not fitting(FLAWS[flaw], tmp_path, "counter", FULL, options)


DIGITS = """module dut(input clk, input rst, input enable,
    output reg [3:0] digits_0, output reg [{top}:0] digits_1);
  always @(posedge clk) if (rst) {{digits_1, digits_0}} <= 0;
    else if (enable) begin
      digits_0 <= digits_0 == {ones} ? 0 : digits_0 + 1;
      if (digits_0 == {ones}) digits_1 <= digits_1 == {tens} ? 0 : digits_1 + 1;
      {extra}
    end
endmodule"""


@pytest.mark.parametrize(
    ("options", "ones", "tens", "extra", "fits"),
    [
        ({"digit_modulo": [10, 6]}, 9, 5, "", True),
        ({"modulo": 60}, 9, 5, "", True),
        ({"digit_modulo": [10, 6]}, 9, 6, "", False),
        ({"digit_modulo": [10, 6]}, 10, 5, "", False),
        ({"digit_modulo": [12, 5]}, 11, 4, "", True),
        ({"modulo": 24}, 9, 2, "if (digits_1 == 2 && digits_0 == 3) {digits_1, digits_0} <= 0;", True),
        ({"modulo": 24}, 9, 2, "if (digits_1 == 2 && digits_0 == 4) {digits_1, digits_0} <= 0;", False),
    ],
)
def test_digits_carry_on_the_same_edge(tmp_path, options, ones, tens, extra, fits):
    verilog = DIGITS.format(top=2, ones=ones, tens=tens, extra=extra)
    shape = {"digits": (4, 3), "enable": (1,)}
    assert bool(fitting(verilog, tmp_path, "counter", shape, options, rest=200)) is fits


PACKED = """module dut(input clk, input rst, input load, input [6:0] load_value, output reg [6:0] count);
  always @(posedge clk)
    if (rst) count <= 7'h59;
    else if (load) count <= load_value;
    else if (count == 0) count <= 7'h59;
    else if (count[3:0] == 0) count <= count - {borrow};
    else count <= count - 1;
endmodule"""


@pytest.mark.parametrize(("borrow", "fits"), [("7", True), ("1", False)])
def test_a_packed_bcd_counter_goes_down_in_decimal(tmp_path, borrow, fits):
    shape = {"count": (7,), "load": (1,), "load_value": (7,)}
    options = {"encoding": "bcd", "modulo": 60, "start": 59, "direction": "down"}
    found = fitting(PACKED.format(borrow=borrow), tmp_path, "counter", shape, options, rest=200)
    assert bool(found) is fits


CLEARED = """module dut(input clk, input rst, input clear, output reg [3:0] count);
  always @(posedge clk) if (rst) count <= 5; else if (clear) count <= {target};
    else count <= count == 2 ? 12 : count - 1;
endmodule"""


@pytest.mark.parametrize(("target", "measured"), [(5, {5}), (0, set()), (7, set())])
def test_where_clear_goes_is_measured_to_be_the_start_or_zero(tmp_path, target, measured):
    shape, options = {"count": (4,), "clear": (1,)}, {"modulo": 13, "start": 5, "direction": "down"}
    verilog = CLEARED.format(target=target).replace("count == 2 ? 12", "count == 0 ? 12")
    found = fitting(verilog, tmp_path, "counter", shape, options)
    assert facts(found, "clear_to") == ({target} if target in {0, 5} else set())
    assert measured <= {target}


@pytest.mark.parametrize("registers", [0, 1, 3])
def test_registers_behind_a_counter_are_its_latency(tmp_path, registers):
    line = "".join(f"r{i + 1} <= r{i}; " for i in range(registers))
    declared = ", ".join(f"r{i + 1}" for i in range(registers)) or "unused"
    verilog = f"""module dut(input clk, input rst, input enable, output [3:0] count);
      reg [3:0] r0, {declared}; assign count = r{registers};
      always @(posedge clk) begin if (rst) r0 <= 0; else if (enable) r0 <= r0 + 1; {line} end
    endmodule"""
    found = fitting(verilog, tmp_path, "counter", {"count": (4,), "enable": (1,)}, {})
    assert {r.latency_cycles for r in found} == {registers}


@pytest.mark.parametrize(("step", "direction"), [(5, "up"), (7, "up"), (5, "down"), (-5, "up")])
def test_a_step_that_does_not_divide_the_modulo_wraps_around(tmp_path, step, direction):
    change = step if direction == "up" else -step
    verilog = f"""module dut(input clk, input rst, output reg [3:0] count);
      always @(posedge clk) if (rst) count <= 0; else count <= (count + {change % 12}) % 12;
    endmodule"""
    shape, options = {"count": (4,)}, {"modulo": 12, "step": step, "direction": direction}
    assert fitting(verilog, tmp_path, "counter", shape, options)
    assert not fitting(verilog, tmp_path, "counter", shape, {**options, "step": -step})


def test_a_value_that_is_no_number_leaves_everything_open_until_a_proper_load():
    shape = {"count": (7,), **LOAD, "load_value": (7,)}
    model = FAMILY.candidates(shape, {"encoding": "bcd", "modulo": 60}, True)[0].model
    assert model.limits == {"load_value": 59}
    assert model.encode("load_value", 59) == 0x59
    state = model.next(model.initial(), (1, 0x5A))
    assert model.cares(state, (0, 0)) == (0,)
    state = model.next(state, (0, 0))
    assert model.cares(state, (0, 0)) == (0,)
    state = model.next(state, (1, 0x42))
    assert model.cares(state, (0, 0)) == (0x7F,)
    assert model.out(state, (0, 0)) == (0x42,)


@pytest.mark.parametrize(
    ("shape", "options", "match"),
    [
        ({}, {}, "count: found neither, expected one of count, digits"),
        ({"count": (4,)}, {"modulo": 20}, "modulo: found 20, expected an integer from 2 to 16"),
        ({"count": (4,)}, {"modulo": 1}, "modulo: found 1, expected an integer from 2"),
        ({"count": (4,)}, {"start": 16}, "start: found 16, expected an integer from 0 to 15"),
        ({"count": (4,)}, {"step": 0}, "step: found 0, expected a number other than 0"),
        ({"count": (4,)}, {"step": 16}, "step: found 16, expected an integer from -15 to 15"),
        ({"count": (4,)}, {"direction": "input"}, 'direction: found direction = "input", expected a port up'),
        ({"count": (4,), "up": (1,)}, {"direction": "up"}, 'direction: found "up" and a port up'),
        ({"count": (4,), "up": (1,)}, {"step": -2}, "step: found -2, expected a step above 0"),
        ({"count": (4,)}, {"encoding": "gray"}, 'encoding: found \'gray\', expected "binary" or "bcd"'),
        (
            {"count": (7,)},
            {"encoding": "bcd"},
            "count: found a port of 7 bits, expected 8 bits, or a smaller",
        ),
        (
            {"count": (4,)},
            {"carry": "last_state"},
            "carry: found 'last_state', expected this only with a port",
        ),
        ({"count": (4,)}, {"priority": ["reset"]}, "priority: found 'reset', expected names among clear"),
        ({"count": (4,)}, {"priority": ["load", "load"]}, "priority: found .*, expected each name once"),
        ({"count": (4,)}, {"priority": "load"}, "priority: found 'load', expected a list"),
        ({"count": (4,), "load": (1,)}, {}, "load: found a port, expected load_value bound as well"),
        ({"count": (4,), "load_value": (4,)}, {}, "load_value: found a port, expected load bound as well"),
        (
            {"digits": (4, 3)},
            {},
            r"digits\[1\]: found a port of 3 bits, expected 4 bits, or a smaller modulo",
        ),
        ({"digits": (4, 3)}, {"digit_modulo": [10]}, "digit_modulo: found 1 numbers, expected 2"),
        (
            {"digits": (4, 3)},
            {"digit_modulo": [10, 17]},
            "digit_modulo: found 17, expected integers from 2 to 16",
        ),
        ({"digits": (4, 3)}, {"digit_modulo": []}, "digit_modulo: found .*, expected a list"),
        ({"digits": (4, 4)}, {"modulo": 101}, "modulo: found 101, expected an integer from 2 to 100"),
        ({"count": (4,), "enable": (2,)}, {}, "enable: found a port of 2 bits"),
    ],
)
def test_what_no_counter_can_be_is_refused(shape, options, match):
    with pytest.raises(OptionError, match=match):
        FAMILY.candidates(shape, options, True)


def test_the_width_of_the_port_is_the_usual_modulo():
    assert FAMILY.candidates({"count": (5,)}, {}, True)[0].model.full_cycle == 32
    assert FAMILY.candidates({"digits": (4, 4, 4)}, {}, True)[0].model.full_cycle == 1000
    assert FAMILY.candidates({"count": (12,)}, {"encoding": "bcd"}, True)[0].model.full_cycle == 1000


@pytest.mark.parametrize("options", [{"modulo": 60}, {"modulo": 60, "direction": "down", "start": 30}])
def test_landmarks_come_before_every_carry_between_digits(options):
    model = FAMILY.candidates({"digits": (4, 4)}, options, True)[0].model
    for mark in model.landmarks():
        state = model.leap(model.initial(), (), mark).state if mark else model.initial()
        assert mark == 0 or model.out(state, ())[0] in {0, 9}
    assert any(
        model.out(model.leap(model.initial(), (), m or 1).state, ()) in {(9, 5), (0, 0)}
        for m in model.landmarks()
    )


def test_models_are_values():
    model = FAMILY.candidates({"count": (5,)}, {}, True)[0].model
    assert model == replace(model)
    assert hash(model) == hash(replace(model))
