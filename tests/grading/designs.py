"""A counter that counts to nine, in words that can be changed, and a bench of two checks for it."""

from __future__ import annotations

COUNTER = """module decade (input wire clk, input wire rst_n, input wire enable,
               output reg [3:0] q, output wire carry);
    assign carry = enable && q == 4'd9;
    always @(posedge clk or negedge rst_n)
        if (!rst_n) q <= 4'd0;
        else if (carry) q <= 4'd0;
        else if (enable) q <= q + 4'd1;
endmodule
"""
BENCH = """[design]
sources = ["decade.v"]
top = "decade"
[clock]
port = "clk"
[reset]
port = "rst_n"
active = "low"
kind = "asynchronous"
[[check]]
name = "count"
model = "counter"
ports = { count = "q", enable = "enable" }
expect = { modulo = 10 }
weight = 3
[[check]]
name = "carry"
model = "counter"
ports = { count = "q", enable = "enable", carry = "carry" }
expect = { modulo = 10, carry = "last_state_and_enable" }
weight = 0.5
"""
NEVER_NINE = COUNTER.replace("4'd9", "4'd8")
NO_CARRY = (
    COUNTER.replace("assign carry", "wire wrap")
    .replace("(carry)", "(wrap)")
    .replace("endmodule", "    assign carry = 1'b0;\nendmodule")
)


def renamed(text):
    """The counter as somebody else would call it: other ports, reset active high, another module."""
    names = {"decade": "ten", "clk": "clock", "rst_n": "reset", "enable": "ce", "(q ": "(value "}
    for old, new in names.items():
        text = text.replace(old, new)
    return text.replace("negedge reset", "posedge reset").replace("!reset", "reset")
