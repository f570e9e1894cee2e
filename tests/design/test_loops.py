"""A combinational loop is named; what only looks like one is not."""

from __future__ import annotations

import pytest

INVERTER = "module inverter(input i, output o); assign o = ~i; endmodule\n"

LOOPS = {
    "itself": ("output y); assign y = ~y;", "y"),
    "cross coupled": ("input s, output q, qn); assign q = ~qn; assign qn = ~(s | q);", "q, qn"),
    "through instances": ("output y); wire b; inverter u(y, b); inverter v(b, y);", "b, y"),
    "through gates": ("input a, output y); wire n; nand (y, a, n); nand (n, y, a);", "n, y"),
    "through blocks": (
        "input a, output reg y); reg z; always @* y = z & a; always @(y or a) z = y | a;",
        "y, z",
    ),
    "reads what it will assign": (
        "input d, output reg y); integer k; always @*\n  for (k = 0; k < 4; k = k + 1) y = y ^ d;",
        "y",
    ),
    "one bit round an adder": ("input [3:0] a, output [3:0] y); assign y = a + {a[2:0], y[3]};", "y"),
    "through a comparison": ("input [3:0] d, output y); assign y = d == {3'd0, y} || d[0];", "y"),
    "through a variable index": ("input [3:0] d, output y); assign y = d[{1'b0, y}];", "y"),
    "through a case": (
        "input [1:0] s, output reg y); reg z; always @* case (s) 0: z = y; default: z = 1; endcase\n"
        "  always @* y = z;",
        "y, z",
    ),
}

NO_LOOPS = {
    "gray code of a vector": "input [3:0] g, output [3:0] b); assign b = g ^ (b >> 1);",
    "carry from bit to bit": (
        "input [7:0] a, b, output [7:0] s); wire [8:0] c; assign c[0] = 0; genvar i;\n"
        "  generate for (i = 0; i < 8; i = i + 1) begin : f assign {c[i+1], s[i]} = a[i] + b[i] + c[i]; end\n"
        "  endgenerate"
    ),
    "carry in a block": (
        "input [3:0] a, b, input ci, output reg [3:0] s); reg [4:0] c; integer i; always @* begin\n"
        "  c[0] = ci; for (i = 0; i < 4; i = i + 1) begin\n"
        "  s[i] = a[i] ^ b[i] ^ c[i]; c[i+1] = a[i] & b[i] | c[i]; end end"
    ),
    "wraps from digit to digit": (
        "input t, input [11:0] d, output [3:0] w); assign w[0] = t; genvar i;\n"
        "  for (i = 0; i < 3; i = i + 1) begin : g assign w[i+1] = w[i] && d[4*i +: 4] == 4'd9; end"
    ),
    "shift and add three": (
        "input [7:0] a, output reg [11:0] bcd); integer i; always @* begin bcd = 0;\n"
        "  for (i = 7; i >= 0; i = i - 1) begin if (bcd[3:0] > 4) bcd[3:0] = bcd[3:0] + 3;\n"
        "  bcd = {bcd[10:0], a[i]}; end end"
    ),
    "through a register": (
        "input clk, output reg [3:0] q); reg [3:0] n; always @* begin n = q;\n"
        "  if (q == 9) n = 0; else n = n + 1; end always @(posedge clk) q <= n;"
    ),
    "latch": "input en, d, output reg q); always @* if (en) q = d;",
    "latch as an assignment": "input en, d, output q); assign q = en ? d : q;",
    "two latches": "input c, output reg q); reg m; always @* if (!c) m = ~q; always @* if (c) q = m;",
    "rows of an array": (
        "input [3:0] a, output [7:0] y); wire [7:0] st [0:4]; assign st[0] = a; genvar i;\n"
        "  generate for (i = 0; i < 4; i = i + 1) begin : f assign st[i+1] = st[i] + 3; end endgenerate\n"
        "  assign y = st[4];"
    ),
    "two outputs of one block": (
        "input v, r, output y, output reg busy); reg x; wire go = busy;\n"
        "  always @* begin x = v & go; busy = r; end assign y = x;"
    ),
    "two paths through one instance": "input a, output x, y); pair p(.a(a), .b(x), .x(x), .y(y));",
    "one hot": "input [1:0] s, input d, output reg [3:0] y); always @* begin y = 0; y[s] = d; end",
    "lower bits of a sum": "input [3:0] a, output [3:0] y); assign y = a + {y[2:0], 1'b0};",
    "indexed parts": (
        "input [7:0] a, output [15:0] y); assign y[0 +: 8] = a; assign y[15 -: 8] = y[7 -: 8] + 1;"
    ),
}
PAIR = "module pair(input a, b, output x, y); assign x = ~a; assign y = ~b; endmodule\n"


@pytest.mark.parametrize(("text", "through"), LOOPS.values(), ids=LOOPS)
def test_a_combinational_loop_is_named_with_its_signals(read, text, through):
    module = read(INVERTER + f"module m({text}\nendmodule\n").modules["m"]
    assert [loop.what for loop in module.loops] == [f"combinational loop through {through}"]
    assert module.loops[0].place.line >= 2


@pytest.mark.parametrize("text", NO_LOOPS.values(), ids=NO_LOOPS)
def test_what_only_looks_like_a_loop_is_none(read, text):
    assert read(PAIR + f"module m({text}\nendmodule\n").modules["m"].loops == ()


def test_a_loop_below_is_reported_for_the_module_above(read):
    text = "module ring(output y); assign y = ~y; endmodule\nmodule m(output y); ring u(y); endmodule\n"
    design = read(text)
    assert design.modules["m"].loops[0].what == "combinational loop through u.y"
    assert design.modules["ring"].loops[0].place.line == 1
