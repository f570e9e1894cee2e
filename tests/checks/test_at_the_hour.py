"""What a control does at the step of a slow stage, and what it does there at another ratio, is found."""

from __future__ import annotations

import pytest

from verify.checks import Settings
from verify.results import Verdict

CLOCK = """module hms #(parameter CLK_HZ = 1_000_000) (
    input clk, input rst, input run, input clear,
    output reg [5:0] seconds, output reg [5:0] minutes, output reg [4:0] hours);
  reg [19:0] clocks;
  wire second = run && clocks == CLK_HZ - 1;
  wire minute = second && seconds == 59;
  wire hour = minute && minutes == 59;
  always @(posedge clk)
    if (rst || clear) clocks <= 0;
    else if (run) clocks <= second ? 0 : clocks + 1;
  always @(posedge clk)
    if (rst || clear) begin seconds <= 0; minutes <= 0; end
    else begin
      if (second) seconds <= minute ? 0 : seconds + 1;
      if (minute) minutes <= hour ? 0 : minutes + 1;
    end
  always @(posedge clk)
    if (rst) hours <= 0;
    {hours}
endmodule
"""
STEPS = "if ({hour}) hours <= hours == 23 ? 0 : hours + 1;"
HOURS = {
    "right": "else if (clear) hours <= 0; else " + STEPS.format(hour="hour"),
    "a step is stronger than clear": f"else {STEPS.format(hour='hour')} else if (clear) hours <= 0;",
    "a pause at the step goes on stepping": "else if (clear) hours <= 0; else "
    + STEPS.format(hour="clocks == CLK_HZ - 1 && seconds == 59 && minutes == 59"),
}


@pytest.mark.parametrize("hours", HOURS)
def test_the_hours_obey_at_their_step_too(check, hours: str) -> None:
    result = check(
        CLOCK.format(hours=HOURS[hours]),
        "timer",
        'seconds = "seconds", minutes = "minutes", hours = "hours", enable = "run", clear = "clear"',
        expect="modulo = [60, 60, 24]",
        clock='port = "clk"\nfrequency = 1_000_000\nparameter = "CLK_HZ"\nspeedup = "auto"',
        more="latency = 0",
        settings=Settings(examples=3, explain_seconds=0.1),
    )
    assert result.verdict is (Verdict.PASS if hours == "right" else Verdict.FAIL), result.reason
    if result.failure is not None:
        assert result.failure.mismatch is not None
        assert result.failure.mismatch.port == "hours"
