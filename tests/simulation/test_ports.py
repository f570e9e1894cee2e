"""Ports, parameters and values of every shape reach the design and come back unchanged."""

from __future__ import annotations

from pathlib import Path

import pytest
from rtl import EARLY, drive, samples, target

from verify.simulation import open_simulation


def play(unit, rows, kind="icarus"):
    with open_simulation(unit, kind=kind) as simulation:
        return samples(simulation.play(drive(unit, rows)))


def test_each_output_reads_x_before_reset_and_z_where_nothing_drives_it(tmp_path: Path) -> None:
    text = """module dut(input clk, input rst, input open, output reg [3:0] q, output [2:0] bus);
      assign bus = open ? 3'bz1x : 3'b010;
      always @(posedge clk) if (rst) q <= 5; else q <= q + 1;
    endmodule"""
    unit = target(tmp_path, text, [("rst", 1), ("open", 1)], [("q", 4), ("bus", 3)])
    expected = [("xxxx", "010"), ("xxxx", "z1x"), ("0101", "z1x"), ("0110", "010")]
    assert play(unit, [(1, 0, 0), (1, 1, 1), (1, 0, 1), (1, 0, 0)]) == expected


def test_inputs_are_x_until_the_first_row(tmp_path: Path) -> None:
    text = """module dut(input clk, input d, output reg seen = 0);
      initial #1 seen = d === 1'bx;
    endmodule"""
    unit = target(tmp_path, text, [("d", 1)], [("seen", 1)])
    assert play(unit, [(1, 1)]) == [("1",)]


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_an_asynchronous_reset_in_the_first_row_acts_before_the_first_edge(tmp_path: Path, kind: str) -> None:
    text = """module dut(input clk, input low, input high, output reg [3:0] a, output reg [3:0] b);
      always @(posedge clk or negedge low) if (!low) a <= 3; else a <= a + 1;
      always @(posedge clk or posedge high) if (high) b <= 7; else b <= b + 1;
    endmodule"""
    unit = target(tmp_path, text, [("low", 1), ("high", 1)], [("a", 4), ("b", 4)])
    rows = [(2, 0, 1), (2, 1, 0)]
    assert play(unit, rows, kind) == [("0011", "0111")] * 3 + [("0100", "1000")]


@pytest.mark.parametrize(
    ("kind", "edge"), [("icarus", "rising"), ("icarus", "falling"), ("verilator", "falling")]
)
def test_no_clock_edge_happens_before_the_first_cycle(tmp_path: Path, kind: str, edge: str) -> None:
    text = """module dut(input clk, output reg [3:0] rises = 0, output reg [3:0] falls = 0);
      always @(posedge clk) rises <= rises + 1;
      always @(negedge clk) falls <= falls + 1;
    endmodule"""
    unit = target(tmp_path, text, [], [("rises", 4), ("falls", 4)], edge=edge)
    assert play(unit, [(3,)], kind) == [("0000", "0000"), ("0001", "0001"), ("0010", "0010")]


def test_a_design_without_clock_is_sampled_the_same_way(tmp_path: Path) -> None:
    text = "module dut(input [1:0] a, output [1:0] y); assign y = a + 1; endmodule"
    unit = target(tmp_path, text, [("a", 2)], [("y", 2)], clock=None)
    assert play(unit, [(1, 0), (2, 3), (0, 0), (1, 1)]) == [("01",), ("00",), ("00",), ("10",)]


def test_the_right_bound_is_the_least_significant_bit_whichever_way_a_range_runs(tmp_path: Path) -> None:
    text = """module dut(input clk, input [0:3] a, input [9:6] b, output [3:6] y, output [1:0] ends);
      assign y = a ^ b; assign ends = {a[0], b[6]};
    endmodule"""
    unit = target(tmp_path, text, [("a", 4), ("b", 4)], [("y", 4), ("ends", 2)])
    assert play(unit, [(1, 0b1000, 0b0001)]) == [("1001", "11")]


def test_parameters_of_every_kind_are_overridden(tmp_path: Path) -> None:
    text = """module dut #(parameter W = 4, parameter signed [7:0] LOW = 0, parameter BIG = 0,
      parameter TEXT = "no", parameter [3:0] MASK = 0) (input clk, output [W-1:0] w, output low,
      output [39:0] big, output text, output [3:0] mask);
      assign w = 0; assign low = LOW < 0; assign big = BIG; assign text = TEXT == "yes"; assign mask = MASK;
    endmodule"""
    values = (("W", 3), ("LOW", -2), ("BIG", 1 << 36), ("TEXT", '"yes"'), ("MASK", "4'b1010"))
    outputs = [("w", 3), ("low", 1), ("big", 40), ("text", 1), ("mask", 4)]
    unit = target(tmp_path, text, [], outputs, parameters=values)
    assert play(unit, [(1,)]) == [("000", "1", format(1 << 36, "040b"), "1", "1010")]


def test_port_names_that_are_keywords_or_hold_odd_characters_work(tmp_path: Path) -> None:
    text = r"""module dut(input \clk-in , input \wire , input logic, output \a.b , output bit);
      assign \a.b = \wire ; assign bit = logic;
    endmodule"""
    unit = target(
        tmp_path, text, [("wire", 1), ("logic", 1)], [("a.b", 1), ("bit", 1)], clock="clk-in"
    )  # `logic` and `bit` are names in Verilog-2005 only
    assert play(unit, [(1, 1, 0), (1, 0, 1)]) == [("1", "0"), ("0", "1")]


def test_an_inout_port_is_left_open(tmp_path: Path) -> None:
    text = "module dut(input clk, inout [1:0] pad, output [1:0] y); assign y = pad; endmodule"
    assert play(target(tmp_path, text, [], [("y", 2)]), [(1,)]) == [("zz",)]


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_delays_much_longer_than_a_nanosecond_change_nothing(tmp_path: Path, kind: str) -> None:
    text = """`timescale 1ns/100ps
    module dut(input clk, input [3:0] d, output [3:0] y, output [3:0] z);
      reg [3:0] q = 0;
      always @(posedge clk) q <= #12.3 d;
      assign #25 y = q + 1;
      assign #20 z = d;
    endmodule"""
    unit = target(tmp_path, text, [("d", 4)], [("y", 4), ("z", 4)])
    rows = [(1, n) for n in (3, 9, 4, 4, 15)]
    pairs = zip((0, 3, 9, 4, 4), (3, 9, 4, 4, 15), strict=True)
    expected = [(format((q + 1) % 16, "04b"), format(d, "04b")) for q, d in pairs]
    assert play(unit, rows, kind) == expected


def test_a_delay_without_a_time_unit_counts_in_nanoseconds(tmp_path: Path) -> None:
    text = "module dut(input clk, input d, output reg q = 0); always @(posedge clk) q <= #1 d; endmodule"
    unit = target(tmp_path, text, [("d", 1)], [("q", 1)])
    assert play(unit, [(1, 1), (1, 0), (1, 0)]) == [("0",), ("1",), ("0",)]


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_time_steps_finer_than_the_harness_s_change_nothing(tmp_path: Path, kind: str) -> None:
    text = """`timescale 1ps/1fs
    module dut(input clk, output reg [3:0] q = 0); always @(posedge clk) q <= #0.003 q + 1; endmodule"""
    assert play(target(tmp_path, text, [], [("q", 4)]), [(3,)], kind) == [("0000",), ("0001",), ("0010",)]


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_several_rows_that_only_drive_act_one_after_the_other(tmp_path: Path, kind: str) -> None:
    text = """module dut(input clk, input tick, output reg [7:0] rises = 0, output reg [7:0] edges = 0);
      always @(posedge tick) rises <= rises + 1;
      always @(posedge clk) edges <= rises;
    endmodule"""
    unit = target(tmp_path, text, [("tick", 1)], [("rises", 8), ("edges", 8)])
    pulses = [(0, 1), (0, 0)] * 3
    rows = [(1, 0), *pulses, (2, 0), *pulses, (0, 1), (1, 0), *pulses]
    expected = [(0, 0), (3, 0), (3, 3), (7, 3)]
    assert play(unit, rows, kind) == [tuple(format(v, "08b") for v in pair) for pair in expected]


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
@pytest.mark.parametrize("edge", ["rising", "falling"])
def test_an_early_row_drives_between_the_active_edge_and_the_other(
    tmp_path: Path, kind: str, edge: str
) -> None:
    """``high`` and ``low`` count pulses by the half of the clock in which they begin."""
    text = """module dut(input clk, input tick,
                         output reg [7:0] high = 0, output reg [7:0] low = 0, output reg [7:0] falls = 0);
      always @(posedge tick) if (clk) high <= high + 1; else low <= low + 1;
      always @(negedge clk) falls <= high + low;
    endmodule"""
    unit = target(
        tmp_path, text, [("tick", 1)], [("high", 8), ("low", 8), ("falls", 8)], edge=edge, name=f"{edge}.v"
    )
    early, late = [(EARLY, 1), (EARLY, 0)], [(0, 1), (0, 0)]
    rows = [(1, 0), *early, (2, 0), *early, *early, *late, (600, 0)]
    rows += [*late, (1, 0), *early, *late, (0, 1), (1, 1)]
    counts = [(0, 0, 0), *[(1, 0, 1)] * 2, (3, 1, 3), *[(3, 1, 4)] * 599, (3, 2, 4), (4, 4, 6)]
    if edge == "falling":  # the halves change places, and the other edge is the end of the first one
        counts = [(low, high, None) for high, low, _ in counts]
    with open_simulation(unit, kind=kind) as simulation:
        parts = [rows[:3], rows[3:]]  # between two bursts, too
        seen = [row for part in parts for row in samples(simulation.play(drive(unit, part)))]
    assert [(int(high, 2), int(low, 2)) for high, low, _ in seen] == [c[:2] for c in counts]
    if edge == "rising":
        assert [int(falls, 2) for *_, falls in seen] == [c[2] for c in counts]


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_before_the_first_cycle_an_early_row_drives_like_any_other(tmp_path: Path, kind: str) -> None:
    text = """module dut(input clk, input tick, output reg [7:0] rises = 0);
      always @(posedge tick) if (!clk) rises <= rises + 1;
    endmodule"""
    unit = target(tmp_path, text, [("tick", 1)], [("rises", 8)])
    rows = [(0, 0), (EARLY, 1), (EARLY, 0), (1, 1), (1, 0)]
    assert play(unit, rows, kind) == [("00000010",), ("00000010",)]


def test_outputs_are_sampled_before_the_edge_although_the_design_races_at_it(tmp_path: Path) -> None:
    # Blocking assignments in an edge-triggered block, and a clock that arrives deltas late.
    text = """module dut(input clk, input [3:0] d, output reg [3:0] q = 0, output reg [3:0] late = 0);
      wire slow = clk; wire slower = slow;
      always @(posedge clk) q = d;
      always @(posedge slower) late = q;
    endmodule"""
    unit = target(tmp_path, text, [("d", 4)], [("q", 4), ("late", 4)])
    assert [q for q, _ in play(unit, [(1, n) for n in (1, 2, 3)])] == ["0000", "0001", "0010"]
