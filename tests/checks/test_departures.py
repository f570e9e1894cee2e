"""A register that reset or clear forgets, or takes at another moment, is found wherever it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.checks import Settings, check_bench
from verify.results import Verdict

CLOCK = """module night_clock #(parameter CLK_HZ = 1_000_000) (
    input clk, input rst_n, input clear,
    output reg [5:0] seconds, output reg [5:0] minutes,
    output reg [3:0] hour_ones, output reg [3:0] hour_tens = 0);
  reg [19:0] clocks;
  wire second = clocks == CLK_HZ - 1;
  wire minute = second && seconds == 59;
  wire hour = minute && minutes == 59;
  wire ten = hour && hour_ones == 9;
  always @(posedge clk or negedge rst_n)
    if (!rst_n) clocks <= 0;
    else if (clear || second) clocks <= 0;
    else clocks <= clocks + 1;
  always @(posedge clk or negedge rst_n)
    if (!rst_n) begin seconds <= 0; minutes <= 0; end
    else if (clear) begin seconds <= 0; minutes <= 0; end
    else begin
      if (second) seconds <= minute ? 0 : seconds + 1;
      if (minute) minutes <= hour ? 0 : minutes + 1;
    end
  always @(posedge clk or negedge rst_n)
    if (!rst_n) hour_ones <= 0;
    else if (clear) hour_ones <= 0;
    else if (hour) hour_ones <= ten ? 0 : hour_ones + 1;
  always @(posedge clk or negedge rst_n)  // tens
    if (!rst_n) hour_tens <= 0;
    else if (clear) hour_tens <= 0;
    else if (ten) hour_tens <= hour_tens == 1 ? 0 : hour_tens + 1;
endmodule
"""
BENCH = """[design]
sources = ["clock.v"]
[clock]
port = "clk"
frequency = 1_000_000
parameter = "CLK_HZ"
speedup = "auto"
[reset]
port = "rst_n"
active = "low"
kind = "asynchronous"
[[check]]
model = "timer"
ports = { stages = ["seconds", "minutes", "hour_ones", "hour_tens"], clear = "clear" }
latency = 0
expect = { modulo = [60, 60, 10, 2] }
"""
FLAWS = {
    "tens not reset": ("if (!rst_n) hour_tens <= 0;\n    else if (clear)", "if (clear)"),
    "tens not cleared": ("else if (clear) hour_tens <= 0;\n", ""),
}


@pytest.mark.parametrize("flaw", [None, *FLAWS])
def test_a_part_of_the_state_that_stays_behind_is_found_hours_after_the_start(
    tmp_path: Path, flaw: str | None
) -> None:
    text = CLOCK
    if flaw is not None:
        old, new = FLAWS[flaw]
        assert text.count(old) == 1
        text = text.replace(old, new)
        if flaw == "tens not reset":  # what is left of the block waits for the clock alone
            text = text.replace("@(posedge clk or negedge rst_n)  // tens", "@(posedge clk)")
    (tmp_path / "clock.v").write_text(text, encoding="utf-8")
    (tmp_path / "bench.toml").write_text(BENCH, encoding="utf-8")
    (result,) = check_bench(tmp_path / "bench.toml", Settings(examples=3, explain_seconds=0.1)).checks
    if flaw is None:
        assert result.verdict is Verdict.PASS, result.reason
        return
    assert result.verdict is Verdict.FAIL, result.reason
    assert result.failure is not None
    assert result.failure.mismatch is not None
    assert result.failure.mismatch.port == "hour_tens"
