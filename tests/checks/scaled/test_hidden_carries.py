"""A carry that no digit shows in a scaled run is looked for at another ratio."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.checks import Settings, check_bench
from verify.checks.scaled.hidden_carries import _seen, _spans
from verify.results import Verdict

GLYPHS = (0x3F, 0x06, 0x5B, 0x4F, 0x66, 0x6D, 0x7D, 0x07, 0x7F, 0x6F)
ROWS = "".join(f"{digit}: seg = 7'h{glyph:02x}; " for digit, glyph in enumerate(GLYPHS))

DISPLAY = """module shown(input clk, input rst, output reg [6:0] seg, output reg [2:0] an);
reg [18:0] p; reg [3:0] lo, mid, hi, v; reg [8:0] r; reg [1:0] n; reg was; wire t = p == 199_999;
always @(posedge clk) if (rst) p <= 0; else p <= t ? 0 : p + 1;
always @(posedge clk) if (rst) {hi, mid, lo, was} <= 0; else if (t) begin
  lo <= lo == 9 ? 0 : lo + 1; was <= lo == 9 & mid == 9;
  if (lo == 9) mid <= mid == 9 ? 0 : mid + 1;
  if (CARRY) hi <= hi == LAST ? 0 : hi + 1;
end
always @(posedge clk) if (rst) {n, r} <= 0; else begin r <= r + 1; if (&r) n <= n == 2 ? 0 : n + 1; end
always @* begin
  an = 3'b001 << n; v = n == 0 ? lo : n == 1 ? mid : hi;
  case (v) ROWS default: seg = 0; endcase
end
endmodule
"""

BENCH = """[design]
sources = ["shown.v"]
[clock]
port = "clk"
frequency = 200_000
[reset]
port = "rst"
active = "high"
[[check]]
model = "display"
ports = { segments = "seg", select = "an" }
expect = { modulo = [1000], scan = { select_active = "high" } }
"""


@pytest.mark.parametrize(
    ("carry", "last", "verdict"),
    [
        ("lo == 9 & mid == 9", "9", Verdict.PASS),
        ("was", "9", Verdict.FAIL),
        ("lo == 9 & mid == 9", "10", Verdict.FAIL),
    ],
)
def test_a_carry_that_comes_a_step_late_or_at_the_wrong_number_shows_in_slow_turns(
    tmp_path: Path, carry: str, last: str, verdict: Verdict
) -> None:
    source = DISPLAY.replace("CARRY", carry).replace("LAST", last).replace("ROWS", ROWS)
    (tmp_path / "shown.v").write_text(source, encoding="utf-8")
    (tmp_path / "bench.toml").write_text(BENCH, encoding="utf-8")
    (check,) = check_bench(tmp_path / "bench.toml", Settings(examples=3, explain_seconds=0.0)).checks
    assert check.verdict is verdict


def test_the_steps_from_carry_to_carry_follow_from_the_stages() -> None:
    assert _spans([100, 60], 4) == [1, 10, 100, 1000]
    assert _spans([10_000], 4) == [1, 10, 100, 1000]
    assert _spans([10, 6], 2) == [1, 10]
    assert _spans([60, 60], 3) is None


def test_a_carry_is_seen_where_its_step_meets_the_turn_of_its_digit() -> None:
    assert _seen(100, 1000, 3, 6000, 16_384, 4) == 0
    assert _seen(120, 1000, 3, 6000, 16_384, 4) > 0
    assert _seen(65_536, 1000, 3, 6000, 16_384, 4) == 3
