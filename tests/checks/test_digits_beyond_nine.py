"""A fault that makes digits for which nobody knows a shape does not end the search for the others."""

from __future__ import annotations

import pytest

from verify.checks import Settings
from verify.results import Verdict

DISPLAY = """module dial(input clk, input rst, output [6:0] ones_seg, output [6:0] tens_seg);
  parameter CLK_HZ = 4;
  reg [1:0] clocks;
  reg [3:0] ones, tens;
  wire step = clocks == CLK_HZ - 1;
  function [6:0] glyph(input [3:0] digit);
    case (digit)
      0: glyph = 7'h3f; 1: glyph = 7'h06; 2: glyph = 7'h5b; 3: glyph = 7'h4f; 4: glyph = 7'h66;
      5: glyph = 7'h6d; 6: glyph = 7'h7d; 7: glyph = 7'h07; 8: glyph = 7'h7f; 9: glyph = 7'h6f;
      default: glyph = 7'h00;
    endcase
  endfunction
  always @(posedge clk)
    if (rst) begin clocks <= 0; ones <= 0; tens <= 0; end
    else begin
      clocks <= step ? 0 : clocks + 1;
      if (step) ones <= ones == 9 ? 0 : ones + 1;
      if (step && ones == 9) tens <= tens == LAST ? 0 : tens + 1;
    end
  assign ones_seg = glyph(ones);
  assign tens_seg = glyph(tens);
endmodule
"""


@pytest.mark.parametrize(("last", "told"), [(5, None), (6, "modulo 7"), (4, "modulo 5")])
def test_a_chain_of_digits_that_rolls_elsewhere_is_explained(check, last: int, told: str | None) -> None:
    result = check(
        DISPLAY.replace("LAST", str(last)),
        "display",
        'digits = ["ones_seg", "tens_seg"]',
        expect='modulo = [10, 6], ratio = 4, active = "high"',
        settings=Settings(examples=3, explain_seconds=20),
    )
    assert not any("broke off" in note for note in result.notes), result.notes
    if told is None:
        assert result.verdict is Verdict.PASS, result.reason
        return
    assert result.verdict is Verdict.FAIL
    assert any(told in e.text for e in result.explanations), result.explanations
