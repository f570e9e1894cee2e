"""The signals inside a design around a failure: at the clocks where they were, and whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.checks import Settings, check_bench
from verify.report.waves import as_vcd
from verify.results import CheckResult, Verdict

DESIGN = """
module inner(input c, input [3:0] d, output reg [3:0] q = 0);
  always @({edge}edge c) q <= d;
endmodule
module dial(input clk, input rst, input en, output [3:0] q);
  reg [3:0] state;
  wire at_last = state == {last};
  wire [3:0] late;
  reg never;
  always @({edge}edge clk) never <= never ^ en;
  always @({edge}edge clk) if (rst) state <= 0; else if (en) state <= at_last ? 0 : state + 1;
  inner copy(.c(clk), .d(state), .q(late));
  assign q = state;
  {more}
endmodule
"""
BENCH = """
[design]
sources = ["dial.v"]
top = "dial"
[clock]
port = "clk"
edge = "{edge}"
[reset]
port = "rst"
[[check]]
model = "counter"
ports = {{ count = "q", enable = "en" }}
expect = {{ modulo = 10 }}
"""


def failing(folder: Path, *, edge: str = "pos", more: str = "", **asked: object) -> CheckResult:
    (folder / "dial.v").write_text(DESIGN.format(edge=edge, last=8, more=more))
    (folder / "bench.toml").write_text(BENCH.format(edge={"pos": "rising", "neg": "falling"}[edge]))
    settings = Settings(examples=0, explain_seconds=0, **asked)  # type: ignore[arg-type]
    (result,) = check_bench(folder / "bench.toml", settings).checks
    assert result.verdict is Verdict.FAIL, result.reason
    return result


@pytest.mark.parametrize("edge", ["pos", "neg"])
def test_inner_signals_stand_at_the_clocks_of_the_ports(tmp_path: Path, edge: str) -> None:
    result = failing(tmp_path, edge=edge, internals=True)
    assert result.failure is not None
    mismatch, internals = result.failure.mismatch, result.failure.internals
    assert mismatch is not None
    assert internals is not None
    cells = {(*s.scope, s.name): s.cells for s in internals.signals}
    at = mismatch.cycle - internals.first
    # The dial turns to 0 after 8, where 9 was expected.
    assert [int(cells["state",][at - back], 2) for back in (1, 0)] == [8, 0]
    assert [cells["at_last",][at - back] for back in (1, 0)] == ["1", "0"]
    assert cells["q",] == cells["state",]
    assert cells["copy", "q"][1:] == cells["state",][:-1]
    assert set(cells["never",]) == {"x"}
    assert not {("clk",), ("copy", "c")} & set(cells)  # sampled once per clock they would stand still
    text = as_vcd(result)
    assert text is not None
    assert "$scope module copy" in text
    assert len([line for line in text.splitlines() if line.startswith("$var") and " state " in line]) == 1


def test_they_are_looked_up_only_where_somebody_asks(tmp_path: Path) -> None:
    result = failing(tmp_path)
    assert result.failure is not None
    assert result.failure.internals is None


def test_a_design_that_dumps_on_its_own_account_still_fails_as_it_does(tmp_path: Path) -> None:
    dumping = 'initial begin $dumpfile("own.vcd"); $dumpvars(0); end'
    result = failing(tmp_path, more=dumping, internals=True, allow=("dump",))
    assert result.failure is not None
    assert result.failure.mismatch is not None
