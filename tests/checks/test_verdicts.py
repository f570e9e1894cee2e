"""Every way to end, on real designs: each fault beside a twin that is right."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.checks import Settings, replay
from verify.errors import DesignError
from verify.results import Fact, Verdict

COUNTER = """
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk {sensitive}) if (rst) q <= 0; else if (en) q <= (q == {last}) ? 0 : q + 1;
endmodule
"""
ASYNCHRONOUS, SYNCHRONOUS = "or posedge rst", ""


def dial(last: int = 9, sensitive: str = ASYNCHRONOUS) -> str:
    return COUNTER.format(last=last, sensitive=sensitive)


PORTS = 'count = "q", enable = "en"'


def fact(facts: tuple[Fact, ...], name: str) -> Fact:
    return next(f for f in facts if f.name == name)


@pytest.mark.parametrize(
    ("sensitive", "kind"), [(ASYNCHRONOUS, "asynchronous"), (SYNCHRONOUS, "synchronous")]
)
def test_the_kind_of_reset_is_measured(check, sensitive: str, kind: str) -> None:
    result = check(dial(sensitive=sensitive), "counter", PORTS, expect="modulo = 10")
    assert result.verdict is Verdict.PASS, result.reason
    assert fact(result.facts, "reset.kind").value == kind
    assert fact(result.facts, "reset.kind").source == "measured"


@pytest.mark.parametrize("pinned", ["asynchronous", "synchronous"])
def test_a_pinned_kind_of_reset_is_required(check, pinned: str) -> None:
    reset = f'port = "rst"\nkind = "{pinned}"'
    result = check(dial(), "counter", PORTS, expect="modulo = 10", reset=reset)
    assert (result.verdict is Verdict.PASS) == (pinned == "asynchronous")
    if result.failure is not None:
        assert any("reset that is asynchronous" in text for text in result.failure.also)


@pytest.mark.parametrize(
    ("heard", "verdict"), [("rst", Verdict.PASS), ("rst & ~clk", Verdict.FAIL), ("rst & clk", Verdict.FAIL)]
)
def test_a_reset_is_pulsed_in_both_halves_of_the_clock(check, heard: str, verdict: Verdict) -> None:
    deaf = (
        dial(sensitive="or posedge heard")
        .replace("(rst)", "(heard)")
        .replace("always", f"wire heard = {heard}; always")
    )
    patient = Settings(examples=10, explain_seconds=20)
    result = check(deaf, "counter", PORTS, expect="modulo = 10", settings=patient)
    assert result.verdict is verdict, result.reason
    told = [e.text for e in result.explanations if e.reproduces_all_cycles]
    assert ["rst acts only while clk is low" in text for text in told] == [True] * (heard == "rst & ~clk")


def test_no_early_pulse_comes_ahead_of_a_register_on_the_other_edge(check) -> None:
    """Such a register takes its input once more before the cycle ends; no model says what."""
    late = dial().replace("output reg [3:0] q)", "output reg [3:0] q, output reg [3:0] shown)")
    late = late.replace(
        "endmodule", "always @(negedge clk or posedge rst) if (rst) shown <= 9; else shown <= q;\nendmodule"
    )
    result = check(late, "counter", PORTS, expect="modulo = 10")
    assert result.verdict is Verdict.PASS, result.reason


@pytest.mark.parametrize(("last", "verdict"), [(9, Verdict.PASS), (10, Verdict.FAIL)])
def test_a_port_may_have_any_name_that_can_be_escaped(check, last: int, verdict: Verdict) -> None:
    odd = (
        dial(last=last).replace("] q)", "] \\q[0] )").replace(" q ", " \\q[0]  ").replace("(q ", "(\\q[0]  ")
    )
    result = check(odd, "counter", PORTS.replace('"q"', '"q[0]"'), expect="modulo = 10")
    assert result.verdict is verdict, result.reason


def test_what_icarus_cannot_compile_runs_on_verilator_and_says_so(check) -> None:
    typed = dial().replace("module dial(", "module dial #(parameter int unsigned N = 4) (")
    result = check(typed, "counter", PORTS, expect="modulo = 10")
    assert (result.verdict, result.simulator) == (Verdict.PASS, "verilator")
    assert any("it ran on Verilator instead" in note for note in result.notes)
    wrong = check(typed.replace("== 9", "== 10"), "counter", PORTS, expect="modulo = 10")
    assert wrong.verdict is Verdict.FAIL
    assert replay(wrong.replay).checks[0].failure.mismatch == wrong.failure.mismatch
    with pytest.raises(DesignError, match="Icarus Verilog cannot compile the design"):
        check(typed, "counter", PORTS, expect="modulo = 10", settings=Settings(simulator="icarus"))


SILENT = """
module converter(input clk, input rst, input start, input [5:0] n, output [3:0] tens, output [3:0] ones);
  reg [5:0] left; reg [3:0] t; reg going;
  assign tens = t, ones = left[3:0];
  always @(posedge clk)
    if (rst) begin left <= 0; t <= 0; going <= 0; end
    else if (!going) begin if (start) begin left <= {taken}; t <= 0; going <= 1; end end
    else if (left >= 10) begin left <= left - 10; t <= t + 1; end
    else going <= 0;
endmodule
"""


@pytest.mark.parametrize(
    ("taken", "verdict"), [("n", Verdict.PASS), ("n == 47 ? 48 : n", Verdict.FAIL), ("n + 1", Verdict.FAIL)]
)
def test_a_converter_that_never_says_when_it_is_done_is_held_to_its_result(
    check, taken: str, verdict: Verdict
) -> None:
    ports = 'binary = "n", start = "start", digits = ["ones", "tens"]'
    assert check(SILENT.format(taken=taken), "bcd", ports).verdict is verdict


HARD_WIRED = """
module metronome(input clk, input rst, output reg tick);
  reg [20:0] n;
  always @(posedge clk) if (rst) begin {cleared}; tick <= 0; end
    else begin n <= (n == {last}) ? 0 : n + 1; tick <= n == {last}; end
endmodule
"""


@pytest.mark.parametrize(
    ("cleared", "last", "verdict", "simulator"),
    [
        ("n <= 0", 1_199_999, Verdict.PASS, "verilator"),
        ("n <= 0", 1_200_000, Verdict.FAIL, "verilator"),
        ("tick <= 0", 1_199_999, Verdict.FAIL, "icarus"),
    ],
)
def test_a_ratio_that_nothing_scales_down_runs_on_verilator_once_no_x_is_seen(
    check, cleared: str, last: int, verdict: Verdict, simulator: str
) -> None:
    verilog = HARD_WIRED.format(cleared=cleared, last=last)
    result = check(verilog, "divider", 'tick = "tick"', expect="ratio = 1_200_000")
    assert result.verdict is verdict, result.reason
    if simulator == "verilator":
        assert result.simulator == simulator
        assert any("x and z were checked in the first" in note for note in result.notes)


SYNCHRONISED = """
module dial(input clk, input rst, input en, output reg [3:0] q);
  reg [1:0] clear;
  always @(posedge clk or posedge rst) if (rst) clear <= 0; else clear <= {{clear[0], 1'b1}};
  wire off = !clear[1];
  always @(posedge clk {sensitive}) if (off) q <= 0; else if (en) q <= (q == {last}) ? 0 : q + 1;
endmodule
"""
DELAYED = """
module dial(input clk, input rst, input en, output reg [3:0] q);
  reg off;
  always @(posedge clk) off <= rst;
  always @(posedge clk) if (off) q <= 0; else if (en) q <= (q == {last}) ? 0 : q + 1;
endmodule
"""
BEGINS_LATE = """
module dial(input clk, input rst, input en, output reg [3:0] q);
  reg begun;
  always @(posedge clk or posedge rst)
    if (rst) begin q <= 0; begun <= 0; end
    else if (!begun) begun <= 1;
    else if (en) q <= (q == {last}) ? 0 : q + 1;
endmodule
"""


@pytest.mark.parametrize(
    ("verilog", "sensitive", "name", "clocks"),
    [
        (SYNCHRONISED, "or posedge off", "reset.release", 2),
        (SYNCHRONISED, "", "reset.release", 2),
        (DELAYED, "", "reset.delay", 1),
    ],
)
def test_a_reset_that_passes_registers_is_measured_and_hides_no_fault(
    check, verilog: str, sensitive: str, name: str, clocks: int
) -> None:
    right, wrong = (verilog.format(last=last, sensitive=sensitive) for last in (9, 10))
    result = check(right, "counter", PORTS, expect="modulo = 10")
    assert result.verdict is Verdict.PASS, result.reason
    assert (fact(result.facts, name).value, fact(result.facts, name).source) == (clocks, "measured")
    late = f'port = "rst"\n{name.partition(".")[2]} = {clocks + 1}'
    assert check(right, "counter", PORTS, expect="modulo = 10", reset=late).verdict is Verdict.FAIL
    failing = check(wrong, "counter", PORTS, expect="modulo = 10")
    assert failing.verdict is Verdict.FAIL
    assert replay(failing.replay).checks[0].failure.mismatch == failing.failure.mismatch


def test_a_design_that_only_begins_late_is_wrong(check) -> None:
    assert check(BEGINS_LATE.format(last=9), "counter", PORTS, expect="modulo = 10").verdict is Verdict.FAIL


def test_a_count_too_far_fails_on_the_clock_of_the_missing_wrap(check) -> None:
    result = check(dial(last=10), "counter", PORTS, expect="modulo = 10")
    assert result.verdict is Verdict.FAIL
    mismatch = result.failure.mismatch
    # two clocks of reset, ten counts
    assert (mismatch.cycle, mismatch.port) == (12, "q")
    assert (mismatch.expected, mismatch.observed) == ("0000", "1010")
    assert mismatch.source.line == 3


def test_a_failure_replays_to_the_same_cycle(check) -> None:
    result = check(dial(last=10), "counter", PORTS, expect="modulo = 10")
    again = replay(result.replay).checks[0]
    assert again.verdict is Verdict.FAIL
    assert again.failure.mismatch == result.failure.mismatch


def test_a_replay_passes_once_the_design_is_mended(check, tmp_path: Path) -> None:
    result = check(dial(last=10), "counter", PORTS, expect="modulo = 10")
    (tmp_path / "design.v").write_text(dial(last=9), encoding="utf-8")
    assert replay(result.replay).checks[0].verdict is Verdict.PASS


@pytest.mark.parametrize("simulator", ["icarus", "verilator"])
def test_check_and_replay_both_say_when_x_was_not_checked(check, simulator: str) -> None:
    settings = Settings(simulator=simulator, examples=5)
    result = check(dial(last=10), "counter", PORTS, expect="modulo = 10", settings=settings)
    again = replay(result.replay, settings).checks[0]
    said = [any("x and z were not checked" in note for note in r.notes) for r in (result, again)]
    assert said == [simulator == "verilator"] * 2


def test_the_same_seed_gives_the_same_run(check) -> None:
    runs = [
        check(dial(), "counter", PORTS, expect="modulo = 10", settings=Settings(seed=7, examples=20))
        for _ in range(2)
    ]
    assert runs[0].cycles == runs[1].cycles
    assert runs[0].coverage == runs[1].coverage
    assert runs[0].seed == 7


CONVERTER = """
module digits(input clk, input rst, input [6:0] v, output reg [3:0] tens, output reg [3:0] ones);
  reg [6:0] held; reg [3:0] late;
  always @(posedge clk or posedge rst)
    if (rst) begin held <= 0; tens <= 0; ones <= 0; late <= 0; end
    else begin held <= v; late <= (held / 10) % 10; tens <= {tens}; ones <= held % 10; end
endmodule
"""
DIGITS = 'binary = "v", digits = ["ones", "tens"]'


def test_latency_is_measured(check) -> None:
    result = check(CONVERTER.replace("{tens}", "(held / 10) % 10"), "bcd", DIGITS)
    assert result.verdict is Verdict.PASS, result.reason
    assert result.latency == 2


def test_a_pinned_latency_is_required_and_the_right_one_named(check) -> None:
    design = CONVERTER.replace("{tens}", "(held / 10) % 10")
    assert check(design, "bcd", DIGITS, more="latency = 2").verdict is Verdict.PASS
    result = check(design, "bcd", DIGITS, more="latency = 1")
    assert result.verdict is Verdict.FAIL
    assert any("latency of 2 clocks; the bench pins 1" in text for text in result.failure.also)


def test_one_output_a_clock_later_is_a_skew(check) -> None:
    result = check(CONVERTER.replace("{tens}", "late"), "bcd", DIGITS)
    assert result.verdict is Verdict.FAIL
    assert result.failure.kind == "skew"
    assert result.failure.text == "tens is 1 clock later than ones"


def test_a_pinned_skew_is_allowed(check) -> None:
    skewed = CONVERTER.replace("{tens}", "late")
    result = check(skewed, "bcd", DIGITS, more='skew = { "digits[1]" = 1 }')
    assert result.verdict is Verdict.PASS, result.reason


def test_digits_that_changed_places_fail(check) -> None:
    design = CONVERTER.replace("{tens}", "(held / 10) % 10")
    result = check(design, "bcd", 'binary = "v", digits = ["tens", "ones"]')
    assert result.verdict is Verdict.FAIL


FREE = """
module free(input clk, output reg t);
  reg [3:0] c{start};
  always @(posedge clk) begin c <= c + 1; t <= c == 15; end
endmodule
"""


def test_a_design_that_never_leaves_x_is_told_apart_from_a_wrong_one(check) -> None:
    result = check(FREE.replace("{start}", ""), "divider", 'tick = "t"', expect="ratio = 16", reset="")
    assert result.verdict is Verdict.FAIL
    assert result.failure.kind == "never_leaves_x"


def test_an_output_that_starts_unknown_without_a_reset_may_settle(check) -> None:
    result = check(FREE.replace("{start}", " = 5"), "divider", 'tick = "t"', expect="ratio = 16", reset="")
    assert result.verdict is Verdict.PASS, result.reason


def test_a_register_that_reset_does_not_reach_is_found(check) -> None:
    pair = """
    module pair(input clk, input rst, output reg [1:0] lo, output reg [1:0] hi);
      initial hi = 0;
      always @(posedge clk or posedge rst) if (rst) {lo{also}} <= 0; else {hi, lo} <= {hi, lo} + 1;
    endmodule
    """
    good = check(
        pair.replace("{also}", ", hi"), "counter", 'digits = ["lo", "hi"]', expect="digit_modulo = [4, 4]"
    )
    assert good.verdict is Verdict.PASS, good.reason
    bad = check(
        pair.replace("{lo{also}}", "lo"), "counter", 'digits = ["lo", "hi"]', expect="digit_modulo = [4, 4]"
    )
    assert bad.verdict is Verdict.FAIL
    assert bad.failure.mismatch.port == "hi"
    assert bad.replay is not None


@pytest.mark.parametrize("task", ["$finish", "$stop", "$fatal"])
def test_a_design_that_ends_the_simulation_does_not_pass(check, task: str) -> None:
    design = dial().replace("endmodule", f"  always @(q) if (q == 7) {task};\nendmodule")
    allowed = Settings(examples=40, allow=(task,))
    result = check(design, "counter", PORTS, expect="modulo = 10", settings=allowed)
    assert result.verdict in {Verdict.FAIL, Verdict.UNDECIDED}
    assert result.failure.kind == "early_end"


def test_a_rollover_out_of_reach_is_undecided(check) -> None:
    wide = """
    module wide(input clk, input rst, output reg [31:0] q);
      always @(posedge clk) if (rst) q <= 0; else q <= q + 1;
    endmodule
    """
    result = check(wide, "counter", 'count = "q"', settings=Settings(cycles_limit=5_000, examples=5))
    assert result.verdict is Verdict.UNDECIDED
    assert "rollovers were not reached" in result.reason


def test_an_output_nobody_checks_is_named(check) -> None:
    design = (
        dial()
        .replace("output reg [3:0] q", "output reg [3:0] q, output spare")
        .replace("endmodule", "  assign spare = q[0];\nendmodule")
    )
    result = check(design, "counter", PORTS, expect="modulo = 10")
    assert [signal.name for signal in result.unchecked_outputs] == ["spare"]
