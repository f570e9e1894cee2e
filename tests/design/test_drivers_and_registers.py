"""The lines that drive a port, and the variables that a clock moves."""

from __future__ import annotations

TEXT = """\
module stage(input clk, rst_n, input [3:0] d, output reg [3:0] q);
  always @(posedge clk or negedge rst_n)
    if (!rst_n)
      q <= 4'd0;
    else
      q <= d;
endmodule
module top(input ck, rst_n, input [3:0] d, output [3:0] q, output any, output [1:0] none);
  wire [3:0] held;
  stage u_stage(.clk(ck), .rst_n(rst_n), .d(d), .q(held));
  assign q = held;
  nor (any, q[0], q[1]);
endmodule
"""


def _lines(read, module: str, port: str, text: str = TEXT) -> list[int]:
    return [place.line for place in read(text).modules[module].port(port).drivers]


def test_the_working_assignment_comes_before_the_reset_value(read):
    assert _lines(read, "stage", "q") == [6, 4]


def test_drivers_are_followed_through_assignments_and_instances_nearest_first(read):
    assert _lines(read, "top", "q") == [11, 10, 6, 4]


def test_a_gate_drives_its_output(read):
    assert _lines(read, "top", "any")[0] == 12


def test_an_output_that_nobody_assigns_has_no_drivers(read):
    assert _lines(read, "top", "none") == []


def test_a_driver_shows_the_text_of_its_line(read):
    place = read(TEXT).modules["stage"].port("q").drivers[0]
    assert (place.line, place.column, place.source) == (6, 7, "      q <= d;")


def test_parts_concatenations_tasks_and_steps_count_as_assignments(read):
    text = """\
module m(input clk, input [3:0] d, output reg [3:0] q, output reg c);
  task put(input x, output y);
    y = x;
  endtask
  always @(posedge clk) begin
    {c, q[1:0]} <= d;
    q[2] <= 1;
    put(d[0], c);
    q++;
  end
endmodule
"""
    assert sorted(_lines(read, "m", "q", text)) == [6, 7, 9]
    assert sorted(_lines(read, "m", "c", text)) == [6, 8]


def test_a_macro_points_to_where_it_is_used(read):
    text = "`define GO(x) assign x = 1;\n\nmodule m(output y);\n  `GO(y)\nendmodule\n"
    assert _lines(read, "m", "y", text) == [4]


def test_registers_know_their_clock_and_reset_also_through_instances(read):
    design = read(TEXT)
    assert [
        (r.name, r.width, r.clock, r.edge, r.reset, r.reset_edge) for r in design.modules["top"].registers
    ] == [("u_stage.q", 4, "ck", "rising", "rst_n", "falling")]
    assert design.modules["stage"].registers[0].place.line == 4


def test_the_edge_that_the_block_never_reads_is_the_clock_in_any_order(read):
    text = """
    module m(input r, c, output reg q, output reg [7:0] n);
      reg [1:0] deep [0:3];
      always @(posedge r or negedge c) if (r) q <= 0; else q <= ~q;
      always_ff @(posedge q) n <= n + 1;
      always @(posedge c) deep[n] <= n;
      always @* if (r) n = 0;
    endmodule
    """
    found = {r.name: (r.width, r.clock, r.edge, r.reset) for r in read(text).modules["m"].registers}
    assert found == {
        "q": (1, "c", "falling", "r"),
        "n": (8, "q", "rising", None),
        "deep": (8, "c", "rising", None),
    }


def test_a_clock_made_inside_keeps_its_hierarchical_name(read):
    text = """
    module slow(input clk, output reg [3:0] n);
      reg half;
      always @(posedge clk) half <= ~half;
      always @(posedge half) n <= n + 1;
    endmodule
    module m(input c, output [3:0] n); slow u(c, n); endmodule
    """
    found = {r.name: r.clock for r in read(text).modules["m"].registers}
    assert found == {"u.half": "c", "u.n": "u.half"}
