"""Benches of two checks around converters of a few bits."""

from __future__ import annotations

RIGHT = """module right (input wire [3:0] bin, output wire [7:0] bcd);
    assign bcd = bin > 4'd9 ? bin + 8'd6 : {4'd0, bin};
endmodule
"""
WRONG = RIGHT.replace("right", "wrong").replace("4'd9", "4'd10")
HEAD = '[design]\nsources = ["*.v"]\n'
CHECK = """
[[check]]
name = "{name}"
model = "bcd"
module = "{module}"
clock = false
ports = {{ binary = "bin", bcd = "bcd" }}
"""
