"""Designs that have numbers where others have a parameter: sped up all the same, and held to the board."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from verify.checks import Settings, replay
from verify.results import CheckResult, Verdict

Check = Callable[..., CheckResult]

STAGES = """
  always @(posedge {clock} or posedge rst)
    if (rst) begin s <= 0; m <= 0; end
    else if ({step}) begin
      s <= s == {last} ? 0 : s + 1;
      if (s == {last}) m <= m == 5 ? 0 : m + 1;
    end
endmodule
"""
HEAD = "module top(input clk, input rst, output reg [5:0] s, output reg [5:0] m);\n"
TICKED = """
  reg [{width}:0] n; wire tick = n == {last};
  always @(posedge clk or posedge rst) if (rst) n <= 0; else n <= tick ? 0 : n + 1;
"""
SQUARE = """
  reg [17:0] n; reg slow;
  always @(posedge clk or posedge rst)
    if (rst) begin n <= 0; slow <= 0; end
    else if (n == {half}) begin n <= 0; slow <= ~slow; end
    else n <= n + 1;
"""


def ticked(last: str = "199_999", width: int = 17, minute: int = 5, before: str = "") -> str:
    return (
        before
        + HEAD
        + TICKED.format(width=width, last=last)
        + STAGES.format(clock="clk", step="tick", last=minute)
    )


def square(half: str = "99_999", minute: int = 5) -> str:
    return HEAD + SQUARE.format(half=half) + STAGES.format(clock="slow", step="1'b1", last=minute)


@pytest.fixture
def timed(check: Check) -> Check:
    def run(text: str, expect: str = "") -> CheckResult:
        return check(
            text,
            "timer",
            'stages = ["s", "m"]',
            expect=f"modulo = [6, 6]{expect}",
            clock='port = "clk"\nfrequency = 200_000',
            settings=Settings(simulator="icarus", examples=5, explain_seconds=0.0),
        )

    return run


def told(result: CheckResult) -> str:
    assert result.speedup is not None
    return "\n".join(result.speedup.evidence)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (ticked(), "design.v:3: 199_999 became 9"),
        (ticked("18'h30D3F"), "design.v:3: 18'h30D3F became 18'h9"),
        (ticked("`HZ - 1", before="`define HZ 200_000\n"), "design.v:1: 200_000 became 10"),
        (
            ticked("LAST", before="").replace("reg [17", "localparam LAST = 199999; reg [17"),
            "design.v:3: 199999 became 9",
        ),
    ],
    ids=["decimal", "hexadecimal", "macro", "localparam"],
)
def test_every_rollover_of_a_right_timer_is_reached_at_a_smaller_ratio(
    timed: Check, text: str, line: str
) -> None:
    result = timed(text)
    assert result.verdict is Verdict.PASS, result.reason
    assert result.speedup is not None
    assert (result.speedup.factor, result.speedup.sound) == (20_000, True)
    assert line in told(result)
    assert "clocks of the design as it is compared on every edge" in told(result)


BELOW = """module beat #(parameter HZ = 50_000_000)(input clk, input rst, output tick);
  reg [17:0] n; assign tick = n == HZ - 1;
  always @(posedge clk or posedge rst) if (rst) n <= 0; else n <= tick ? 0 : n + 1;
endmodule
"""


@pytest.mark.parametrize(("hz", "verdict"), [("200_000", Verdict.PASS), ("200_001", Verdict.FAIL)])
def test_the_clock_parameter_may_be_that_of_an_instance(check: Check, hz: str, verdict: Verdict) -> None:
    inside = f"  wire tick; beat #(.HZ({hz})) u_beat(clk, rst, tick);\n"
    result = check(
        BELOW + HEAD + inside + STAGES.format(clock="clk", step="tick", last=5),
        "timer",
        'stages = ["s", "m"]',
        expect="modulo = [6, 6]",
        clock='port = "clk"\nfrequency = 200_000\nparameter = "u_beat.HZ"',
        settings=Settings(simulator="icarus", examples=5, explain_seconds=0.0),
    )
    assert result.verdict is verdict, result.reason
    assert result.speedup is not None
    if verdict is Verdict.PASS:
        assert (result.speedup.factor, result.speedup.sound) == (20_000, True)
        assert "200_000 became 10" in told(result)


def test_a_stage_that_counts_too_far_is_found_although_no_minute_ends_at_the_native_ratio(
    timed: Check,
) -> None:
    result = timed(ticked(minute=6))
    assert result.verdict is Verdict.FAIL
    assert result.failure is not None
    assert result.failure.mismatch is not None
    assert result.failure.mismatch.cycle == 62
    assert "it differs at 100, 250, 1,000 clocks per period as well" in told(result)
    assert result.replay is not None
    assert replay(result.replay).checks[0].verdict is Verdict.FAIL


@pytest.mark.parametrize(
    "text",
    [ticked(width=16), ticked("200_000"), ticked("199_998"), square("100_000")],
    ids=["too narrow", "one more", "one less", "half of it one more"],
)
def test_a_second_of_another_length_fails_on_the_board(timed: Check, text: str) -> None:
    result = timed(text)
    assert result.verdict is Verdict.FAIL, result.reason
    assert "at the native frequency" in result.reason


def test_stages_on_a_square_wave_begin_after_half_a_period_and_that_is_said(timed: Check) -> None:
    result = timed(square())
    assert result.verdict is Verdict.PASS, result.reason
    assert any("after half a period" in note for note in result.notes)
    (first,) = (fact for fact in result.facts if fact.name == "first")
    assert (first.value, first.pin) == (100_000, "expect.first = 100000")
    assert timed(square(minute=4)).verdict is Verdict.FAIL


def test_without_a_clock_of_its_own_a_first_step_after_half_a_period_is_wrong(timed: Check) -> None:
    early = ticked().replace("if (rst) n <= 0", "if (rst) n <= 100_000")
    assert timed(early).verdict is Verdict.FAIL


def test_a_pinned_first_step_moves_with_the_ratio(timed: Check) -> None:
    assert timed(ticked(), ", first = 200000").verdict is Verdict.PASS
    assert timed(ticked(), ", first = 100000").verdict is Verdict.FAIL


WAITING = """  reg [5:0] w; reg [5:0] s; reg [5:0] m;
  always @(posedge clk or posedge rst)
    if (rst) begin w <= 0; so <= 0; mo <= 0; end
    else begin
      if (tick) w <= 40; else if (w != 0) w <= w - 1;
      if (w == 1) begin so <= s; mo <= m; end
    end
"""


def test_a_block_that_needs_more_clocks_than_are_left_gets_them(check: Check) -> None:
    text = ticked().replace("output reg [5:0] s, output reg [5:0] m", "output reg [5:0] so, mo")
    text = text.replace("  reg [17", WAITING + "  reg [17").replace("wire tick", "wire tick", 1)
    settings = Settings(simulator="icarus", examples=5, explain_seconds=0.0)
    for last, verdict in ((5, Verdict.PASS), (4, Verdict.FAIL)):
        result = check(
            text.replace("m == 5", f"m == {last}"),
            "timer",
            'stages = ["so", "mo"]',
            expect="modulo = [6, 6]",
            clock='port = "clk"\nfrequency = 200_000',
            settings=settings,
        )
        assert result.verdict is verdict, result.reason
