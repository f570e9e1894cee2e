"""A reset that part of a design takes at once and another part at the clock edge."""

from __future__ import annotations

import pytest

from verify.checks import Settings
from verify.results import Verdict

TIMER = """
module seconds(input clk, input rst, output reg [3:0] ones, output reg [2:0] tens);
  reg [2:0] count;
  always @(posedge clk{count_waits}) if (rst) count <= 0; else count <= count == 4 ? 0 : count + 1;
  always @(posedge clk{waits}) if (rst) begin ones <= 0; {tens_reset} end
    else if (count == 4) begin
      ones <= ones == 9 ? 0 : ones + 1;
      if (ones == 9) tens <= tens == {last} ? 0 : tens + 1;
    end
endmodule
"""
PORTS = 'stages = ["ones", "tens"]'
EXPECT = "ratio = 5, modulo = [10, 6]"
QUICK = Settings(examples=3, cycles_limit=20_000, explain_seconds=0.0)
AT_ONCE = " or posedge rst"


def timer(*, count: str = AT_ONCE, stages: str = "", tens_reset: str = "tens <= 0;", last: int = 5) -> str:
    return TIMER.format(count_waits=count, waits=stages, tens_reset=tens_reset, last=last)


@pytest.mark.parametrize(("count", "stages"), [(AT_ONCE, ""), ("", AT_ONCE)])
def test_a_mixed_reset_is_a_measured_fact_with_the_lines_that_make_it(check, count, stages) -> None:
    result = check(timer(count=count, stages=stages), "timer", PORTS, expect=EXPECT, settings=QUICK)
    assert result.verdict is Verdict.PASS, result.reason
    (kind,) = (fact for fact in result.facts if fact.name == "reset.kind")
    assert (kind.value, kind.source, kind.pin) == ("mixed", "measured", 'kind = "mixed"  # in [reset]')
    (note,) = (note for note in result.notes if "mixed" in note)
    assert "count (design.v:4)" in note
    assert "ones (design.v:5)" in note


def test_a_fault_behind_a_mixed_reset_is_the_one_that_is_told(check) -> None:
    result = check(timer(last=6), "timer", PORTS, expect=EXPECT, settings=QUICK)
    assert result.verdict is Verdict.FAIL
    assert "tens" in result.reason


def test_a_stage_that_no_reset_reaches_is_no_mixed_reset(check) -> None:
    forgotten = timer(tens_reset="").replace("output reg [2:0] tens)", "output reg [2:0] tens = 0)")
    assert check(forgotten, "timer", PORTS, expect=EXPECT, settings=QUICK).verdict is Verdict.FAIL


def test_without_a_mixture_nothing_is_called_mixed(check) -> None:
    for kind, waits in (("asynchronous", AT_ONCE), ("synchronous", "")):
        result = check(timer(count=waits, stages=waits), "timer", PORTS, expect=EXPECT, settings=QUICK)
        assert result.verdict is Verdict.PASS, result.reason
        assert {f.name: f.value for f in result.facts}["reset.kind"] == kind


@pytest.mark.parametrize("kind", ["asynchronous", "synchronous"])
def test_a_pinned_kind_is_held_against_every_register(check, kind) -> None:
    reset = f'port = "rst"\nkind = "{kind}"'
    assert check(timer(), "timer", PORTS, expect=EXPECT, settings=QUICK, reset=reset).verdict is Verdict.FAIL


def test_a_reset_that_is_pinned_as_mixed_is_driven_for_whole_clocks_only(check) -> None:
    reset = 'port = "rst"\nkind = "mixed"'
    result = check(timer(), "timer", PORTS, expect=EXPECT, settings=QUICK, reset=reset)
    assert result.verdict is Verdict.PASS, result.reason
    assert {f.name: f.source for f in result.facts}["reset.kind"] == "pinned"
