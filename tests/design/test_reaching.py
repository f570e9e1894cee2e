"""Which inputs an output may depend on, and what pins are called inside."""

from __future__ import annotations

import pytest

from verify.design.interface import Pin

BOARD = """
module seconds(input clk, rst_n, run, output reg [5:0] n);
  always @(posedge clk or negedge rst_n) if (!rst_n) n <= 0; else if (run) n <= n + 1;
endmodule
module board(input clk, input [3:0] key, input [9:0] sw, input [7:0] spare,
             output [5:0] led, output [9:0] lamp, output pair, output late);
  wire go = sw[9];
  reg d;
  seconds u(.clk(clk), .rst_n(~key[0]), .run(go), .n(led));
  assign lamp = sw;
  assign pair = ^key[3:2];
  always @(posedge clk) if (key[1]) d <= pair;
  assign late = d;
  BLACK_BOX b(.i(spare[0]));
endmodule
module BLACK_BOX(input i, output o); endmodule
module boxed(input a, output y, z);
  wire o; BLACK_BOX b(.i(a), .o(o)); assign y = o & a; assign z = ~a;
endmodule
"""


@pytest.fixture
def modules(read):
    return read(BOARD).modules


@pytest.mark.parametrize(
    ("output", "inputs"),
    [
        ("led", {"clk", "key[0]", "sw[9]"}),
        ("lamp", {"sw"}),
        ("pair", {"key[3:2]"}),
        ("late", {"clk", "key[1]", "key[3:2]"}),
    ],
)
def test_an_output_depends_on_what_reaches_it_through_registers_conditions_and_instances(
    modules, output, inputs
):
    assert modules["board"].reached_by[output] == inputs


def test_an_output_that_an_instance_does_not_drive_is_named_where_it_arrives(modules):
    assert modules["boxed"].reached_by == {"y": {"a", "BLACK_BOX.o"}, "z": {"a"}}


def test_pins_have_the_names_of_wires_and_of_the_ports_that_they_go_to(modules):
    pins = modules["board"].pins
    assert Pin("sw[9]", "go") in pins
    assert Pin("key[0]", "rst_n", True, "seconds") in pins


def test_a_part_that_never_has_its_defaults_is_given_as_it_is_instantiated(read):
    text = """
    module part #(parameter HZ = 0, W = 4) (input c, output reg [W-1:0] q);
      reg [$clog2(HZ)-1:0] p; always @(posedge c) begin p <= p + 1; q <= q + p; end
    endmodule
    module usual #(parameter N = 3) (input c, output [N-1:0] q); assign q = {N{c}}; endmodule
    module top(input c, output [5:0] a, output [2:0] b, output [7:0] e);
      part #(.HZ(1000), .W(6)) u(c, a); usual v(c, b); usual #(8) w(c, e);
    endmodule"""
    design = read(text, lenient=True)
    assert design.instantiated == {"part": {"HZ": 1000, "W": 6}}
    assert design.modules["part"].port("q").width == 6
    assert design.modules["usual"].port("q").width == 3
    assert "part" not in design.broken


def test_interfaces_structures_tasks_and_loops_are_followed_or_left_out(read):
    text = """
    interface link(input logic clk); logic [3:0] d; modport m(output d); endinterface
    module sub(link.m b, input logic clk, go); always_ff @(posedge clk) if (go) b.d <= b.d + 1; endmodule
    typedef struct packed { logic [3:0] hi; logic [3:0] lo; } pair_t;
    module top(input logic clk, go, spare, output pair_t n, output logic [3:0] d,
               output logic [1:0][3:0] each);
      link i(clk); sub s(.b(i), .clk, .go);
      task automatic inc(input logic [3:0] x, output logic [3:0] y); y = x + 1; endtask
      always_ff @(posedge clk) n.lo <= n.lo + 1;
      always_comb begin foreach (each[k]) each[k] = n.lo; inc(n.hi, each[0]); end
      assign d = i.d;
    endmodule"""
    reached = read(text).modules["top"].reached_by
    assert "clk" in reached["n"]
    assert "clk" in reached["each"]
    assert not any("spare" in inputs for inputs in reached.values())
