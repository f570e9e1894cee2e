"""A bench and its design, written on the spot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

DESIGN = """\
module metronome #(parameter CLK_HZ = 12_000_000, parameter MODE = "SLOW")
  (input clk, rst_n, run, input [7:4] key, output reg tick, output [0:6] lamp, output [15:0] wide, inout pad);
  localparam HALF = CLK_HZ / 2;
  reg [23:0] count;
  always @(posedge clk or negedge rst_n)
    if (!rst_n) count <= 0;
    else count <= count == CLK_HZ - 1 ? 0 : count + 1;
  always @(posedge clk) tick <= count == CLK_HZ - 2;
  assign lamp = count[6:0];
  assign wide = count[15:0];
endmodule
module tally #(parameter CLK_HZ = 1000, parameter WIDTH = 4)
  (input ck, clear_n, step, hold_n,
   output reg [WIDTH-1:0] count, output reg [3:0] ones, tens, output carry);
  always @(negedge ck or negedge clear_n) if (!clear_n) count <= 0; else count <= count + step;
  always @* begin ones = count % 10; tens = count / 10; end
  assign carry = &count;
endmodule
module decoder(input [3:0] digit, output [6:0] segments); assign segments = {3'd0, digit}; endmodule
module toggle(input clock, reset, output reg q);
  always @(posedge clock) if (reset) q <= 0; else q <= ~q;
endmodule
module ring(input clk, output y); assign y = ~y; endmodule
module wires(input a, output y); assign y = a; endmodule
"""

BENCH = """\
[design]
sources = ["rtl/*.v"]
top = "metronome"

[clock]
port = "clk"
frequency = 12_000_000
parameter = "CLK_HZ"

[reset]
port = "rst_n"
active = "low"

[[check]]
model = "divider"
ports = { tick = "tick", enable = "run" }
"""

Writer = Callable[..., Path]


@pytest.fixture
def bench_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Writer:
    """Write a bench beside its design; pairs of old and new text change it. Returns its bare name."""
    monkeypatch.chdir(tmp_path)
    Path("rtl").mkdir()
    Path("rtl/design.v").write_text(DESIGN)

    def write(*changes: tuple[str, str], text: str = BENCH) -> Path:
        for old, new in changes:
            assert old in text, f"{old!r} is not in the bench"
            text = text.replace(old, new)
        path = Path("bench.toml")
        path.write_text(text)
        return path

    return write
