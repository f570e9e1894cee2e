"""What reading a design finds at the native and at the scaled frequency, and what it leaves alone."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from snippets import HEAD, NATIVE_HZ, counter, divider, survey

from verify.timescale.factor import choose_factor

FASTEST = NATIVE_HZ // 4

TOO_NARROW = {
    "equality": counter("25", "count == CLK_HZ - 1"),
    "constant first": counter("25", "CLK_HZ - 1 == count"),
    "at least": counter("25", "count >= CLK_HZ - 1"),
    "below, inverted": counter("25", "!(count < CLK_HZ - 1)"),
    "case equality": counter("25", "count === CLK_HZ - 1"),
    "localparam chain": counter(
        "25", "count == LAST", "localparam SECOND = CLK_HZ; localparam LAST = SECOND - 1;"
    ),
    "constant wire": counter("25", "count == last", "wire [25:0] last = CLK_HZ - 1;"),
    "constant register": counter("25", "count == last", "reg [25:0] last = CLK_HZ - 1;"),
    "assigned wire": counter("25", "count == last", "wire [31:0] last; assign last = CLK_HZ - 1;"),
    "padded counter": counter("25", "{7'd0, count} == CLK_HZ - 1"),
    "cast counter": counter("25", "32'(count) == CLK_HZ - 1"),
    "copied counter": counter("25", "wide == CLK_HZ - 1", "wire [31:0] wide = count;"),
    "next value": counter("25", "count + 25'd1 == 32'(CLK_HZ)"),
    "half a period": counter("24", "count == CLK_HZ / 2 - 1"),
    "function": counter(
        "25", "count == last(CLK_HZ)", "function integer last(input integer hz); last = hz - 1; endfunction"
    ),
    "case item": f"""{HEAD} reg [24:0] count;
        always @(posedge clk) begin
            tick <= 1'b0; count <= count + 1'b1;
            case (count) CLK_HZ - 1: begin tick <= 1'b1; count <= 0; end default: ; endcase
            if (rst) count <= 0;
        end endmodule""",
    "inside": counter("25", "count inside {[CLK_HZ - 1:32'hffff_ffff]}"),
    "two blocks": f"""{HEAD} reg [24:0] count; wire last = count == CLK_HZ - 1;
        always @(posedge clk) count <= rst | last ? 25'd0 : count + 25'd1;
        always @(posedge clk) tick <= last; endmodule""",
    "always_comb and a task": f"""{HEAD} logic [24:0] count, after; logic last;
        task automatic look(output logic hit); hit = count == CLK_HZ - 1; endtask
        always_comb begin look(last); after = last ? '0 : count + 1; end
        always_ff @(posedge clk) begin count <= rst ? '0 : after; tick <= last; end endmodule""",
    "signed counter": f"""{HEAD} reg signed [25:0] count;
        always @(posedge clk) begin tick <= count == CLK_HZ - 1;
        count <= rst || count == CLK_HZ - 1 ? 0 : count + 1; end endmodule""",
    "generate loop": """module top #(parameter CLK_HZ = 50_000_000) (input clk, input rst, output [1:0] tick);
        genvar i; generate for (i = 0; i < 2; i = i + 1) begin : g
        reg [24:0] count; assign tick[i] = count == CLK_HZ - 1;
        always @(posedge clk) count <= rst | tick[i] ? 0 : count + 1; end endgenerate endmodule""",
    "passed down": divider("parameter RATIO = 10", "25", "RATIO - 1")
    + f"{HEAD} wire t; divider #(.RATIO(CLK_HZ)) u(clk, rst, t); always @* tick = t; endmodule",
    "limit through a port": "module divider(input clk, input rst, input [31:0] last, output tick);"
    " reg [24:0] count; assign tick = count == last;"
    " always @(posedge clk) count <= rst | tick ? 0 : count + 1; endmodule\n"
    f"{HEAD} wire t; divider u(clk, rst, CLK_HZ - 1, t); always @* tick = t; endmodule",
}

TRUNCATED = {
    "reload of a down counter": f"""{HEAD} reg [24:0] count;
        always @(posedge clk) begin tick <= count == 0;
        count <= rst || count == 0 ? CLK_HZ - 1 : count - 1; end endmodule""",
    "local parameter with a range": counter("26", "count == LAST", "localparam [24:0] LAST = CLK_HZ - 1;"),
    "wire": counter("26", "count == last", "wire [24:0] last = CLK_HZ - 1;"),
    "cast": counter("26", "count == 25'(CLK_HZ - 1)"),
    "from below zero": f"""{HEAD} reg [24:0] count; always @(posedge clk)
        begin tick <= &count; count <= rst || &count ? -CLK_HZ : count + 1; end endmodule""",
    "typed parameter of an instance": divider("parameter [15:0] RATIO = 10", "32", "RATIO - 1")
    + f"{HEAD} wire t; divider #(.RATIO(CLK_HZ)) u(clk, rst, t); always @* tick = t; endmodule",
    "shortint parameter": divider("parameter shortint unsigned RATIO = 10", "32", "RATIO - 1")
    + f"{HEAD} wire t; divider #(CLK_HZ) u(clk, rst, t); always @* tick = t; endmodule",
    "defparam": divider("parameter [15:0] RATIO = 10", "32", "RATIO - 1")
    + f"{HEAD} wire t; divider u(clk, rst, t); defparam u.RATIO = CLK_HZ; always @* tick = t; endmodule",
    "port of an instance": "module divider(input clk, input rst, input [23:0] last, output tick);"
    " reg [31:0] count; assign tick = count == last;"
    " always @(posedge clk) count <= rst | tick ? 0 : count + 1; endmodule\n"
    f"{HEAD} wire t; divider u(clk, rst, CLK_HZ - 1, t); always @* tick = t; endmodule",
}

SCALES = {
    "wide enough": counter("26", "count == CLK_HZ - 1"),
    "$clog2": counter("$clog2(CLK_HZ)", "count == CLK_HZ - 1"),
    "own logarithm": counter(
        "BITS",
        "count == CLK_HZ - 1",
        "function integer bits(input integer v); begin bits = 0; while (v > 0) begin v = v >> 1;"
        " bits = bits + 1; end end endfunction localparam BITS = bits(CLK_HZ - 1);",
    ),
    "integer": f"""{HEAD} integer count;
        always @(posedge clk) if (rst || count == CLK_HZ - 1) begin count <= 0; tick <= !rst; end
        else begin count <= count + 1; tick <= 0; end endmodule""",
    "cast to the right width": counter("26", "count == 26'(CLK_HZ - 1)"),
    "bit loop": counter(
        "BITS",
        "all",
        "localparam BITS = $clog2(CLK_HZ); localparam [BITS-1:0] LAST = CLK_HZ - 1; reg all;"
        " integer i; always @* begin all = 1;"
        " for (i = 0; i < BITS; i = i + 1) all = all & (count[i] == LAST[i]); end",
    ),
    "down counter": f"""{HEAD} reg [25:0] count;
        always @(posedge clk) begin tick <= count == 0;
        count <= rst || count == 0 ? CLK_HZ - 1 : count - 1; end endmodule""",
    "from below zero": f"""{HEAD} reg [25:0] count; always @(posedge clk)
        begin tick <= &count; count <= rst || &count ? -CLK_HZ : count + 1; end endmodule""",
    "half a period": counter("25", "count == CLK_HZ / 2 - 1"),
    "shift": counter("25", "count == (CLK_HZ >> 1) - 1"),
    "two parameters in a quotient": counter("26", "count == CLK_HZ * 3 / CLK_HZ * CLK_HZ / 3 - 1"),
    "reset and other constants": counter("26", "count == CLK_HZ - 1 || rst && count > 26'd1000"),
    "generate with the same branch": f"""{HEAD} generate if (CLK_HZ > 1) begin : g
        reg [25:0] count; always @(posedge clk) begin tick <= count == CLK_HZ - 1;
        count <= rst || count == CLK_HZ - 1 ? 0 : count + 1; end end endgenerate endmodule""",
    "passed down through two levels": divider("parameter int RATIO = 10", "$clog2(RATIO)", "RATIO - 1")
    + "module middle #(parameter HZ = 5) (input clk, input rst, output tick);"
    " divider #(.RATIO(HZ)) u(clk, rst, tick); endmodule\n"
    f"{HEAD} wire t; middle #(.HZ(CLK_HZ)) m(clk, rst, t); always @* tick = t; endmodule",
}


@pytest.mark.parametrize("style", TOO_NARROW)
def test_a_counter_too_narrow_for_the_native_terminal_count_is_found(style: str, tmp_path: Path) -> None:
    findings = survey(tmp_path, TOO_NARROW[style]).findings(FASTEST)
    assert {f.kind for f in findings} == {"too_narrow"}
    assert all(f.definite and f.unsound and f.place is not None for f in findings)


@pytest.mark.parametrize("style", TRUNCATED)
def test_bits_cut_off_the_native_constant_are_found(style: str, tmp_path: Path) -> None:
    findings = survey(tmp_path, TRUNCATED[style]).findings(FASTEST)
    assert {f.kind for f in findings} == {"truncated"}
    assert all(f.definite and f.unsound for f in findings)


@pytest.mark.parametrize("style", SCALES)
def test_a_design_that_scales_gives_no_finding_and_the_largest_factor(style: str, tmp_path: Path) -> None:
    read = survey(tmp_path, SCALES[style])
    assert read.findings(FASTEST) == ()
    assert choose_factor(read) == FASTEST


def test_the_finding_names_the_register_the_numbers_and_the_line(tmp_path: Path) -> None:
    (finding,) = survey(tmp_path, counter("25", "count == CLK_HZ - 1")).findings(FASTEST)
    assert finding.text == (
        "count has 25 bits and reaches at most 33,554,431: `count == CLK_HZ - 1` is never true at "
        "CLK_HZ = 50,000,000, where CLK_HZ - 1 is 49,999,999"
    )
    assert finding.place is not None
    assert finding.place.line == 6
    assert "count == CLK_HZ - 1" in (finding.place.source or "")
    assert finding.native_clocks == 49_999_999


def test_a_counter_one_bit_short_of_a_power_of_two_is_no_certain_flaw(tmp_path: Path) -> None:
    """It wraps by itself in the very clock in which it should."""
    text = counter("15", "count == CLK_HZ")
    findings = survey(tmp_path, text, native=1 << 15).findings(1 << 13)
    assert [(f.kind, f.definite) for f in findings] == [("too_narrow", False)]


def test_an_overflowing_product_is_found(tmp_path: Path) -> None:
    (finding,) = survey(tmp_path, counter("32", "count == CLK_HZ * 3600 - 1")).findings(FASTEST)
    assert (finding.kind, finding.definite) == ("overflow", True)
    assert "180,000,000,000" in finding.text


def test_a_product_that_overflows_on_the_way_but_comes_out_right_is_left_alone(tmp_path: Path) -> None:
    wide = counter("38", "count == 64'(CLK_HZ) * 3600 - 1")
    assert survey(tmp_path, wide).findings(FASTEST) == ()


@pytest.mark.parametrize(
    ("condition", "factor", "kind"),
    [
        ("count == CLK_HZ / 1000 - 1", FASTEST, "becomes_zero"),
        ("count == (CLK_HZ >> 10) - 1", FASTEST, "becomes_zero"),
        ("count == CLK_HZ / 1000 / 10 - 1", 25_000, "becomes_zero"),
        ("count == CLK_HZ / 1000 - 1", 20_000, "loses_remainder"),
        ("count == CLK_HZ / 10 - 8", 10**6, "negative"),
        ("count == CLK_HZ / 1000 - 1", 50_000, "too_short"),
        ("count == CLK_HZ % 1024", FASTEST, "not_proportional"),
        ("count == (1 << ($clog2(CLK_HZ) - 2))", FASTEST, "not_proportional"),
        ("CLK_HZ > 100 ? count == CLK_HZ - 1 : count == CLK_HZ - 2", FASTEST, "branch"),
        ("count == (CLK_HZ > 100 ? CLK_HZ - 1 : 0)", FASTEST, "becomes_zero"),
    ],
)
def test_a_constant_that_leaves_its_proportion_is_found(
    condition: str, factor: int, kind: str, tmp_path: Path
) -> None:
    read = survey(tmp_path, counter("32", condition))
    found = [f for f in read.findings(factor) if f.unsound]
    assert {f.kind for f in found} == {kind}
    assert not any(f.definite for f in found)


def test_a_generate_block_that_is_only_there_on_the_board_is_found(tmp_path: Path) -> None:
    text = f"""{HEAD} generate if (CLK_HZ > 1000) begin : slow
        reg [25:0] count; always @(posedge clk) begin tick <= count == CLK_HZ - 1;
        count <= rst || count == CLK_HZ - 1 ? 0 : count + 1; end end
        else begin : fast always @(posedge clk) tick <= !rst; end endgenerate endmodule"""
    read = survey(tmp_path, text)
    texts = [f.text for f in read.findings(FASTEST) if f.kind == "branch"]
    assert any("slow is there on the board, but not at the scaled CLK_HZ = 4" in t for t in texts)
    assert NATIVE_HZ // choose_factor(read) > 1000


def test_a_scaled_value_without_a_design_is_found(tmp_path: Path) -> None:
    text = counter("26", "count == CLK_HZ - 1 && {(CLK_HZ / 1000){1'b1}} != 0")
    (finding,) = survey(tmp_path, text).findings(FASTEST)
    assert finding.kind == "not_elaborated"


@pytest.mark.parametrize(
    "constant", ["50000000", "26'd49_999_999", "26'h2FAF07F", "'d24_999_999", "25_000_000", "50_000_000 - 1"]
)
def test_a_number_that_is_the_native_frequency_is_found(constant: str, tmp_path: Path) -> None:
    text = counter("26", "count == LAST && CLK_HZ > 0 && count != CLK_HZ", f"localparam LAST = {constant};")
    (finding,) = survey(tmp_path, text).findings(FASTEST)
    assert (finding.kind, finding.definite) == ("fixed", False)
    assert finding.place is not None
    assert finding.place.line == 2


def test_other_numbers_and_the_default_of_the_clock_parameter_are_left_alone(tmp_path: Path) -> None:
    text = counter("26", "count == CLK_HZ - 1 || count == 26'd49_999_998")
    assert survey(tmp_path, text).findings(FASTEST) == ()


def test_a_fewer_part_of_the_frequency_is_told_and_does_not_count(tmp_path: Path) -> None:
    text = counter("26", "count == CLK_HZ - 1 || count == 26'd49_999")
    (finding,) = survey(tmp_path, text).findings(FASTEST)
    assert (finding.kind, finding.unsound) == ("fixed", False)


@pytest.mark.parametrize(
    ("default", "definite"),
    [("CLK_HZ = 50_000_000", False), ("CLK_HZ = 12_000_000", True), ("N = 50_000_000", False)],
)
def test_an_instance_that_keeps_its_default_is_found(default: str, definite: bool, tmp_path: Path) -> None:
    name = default.partition(" ")[0]
    text = (
        divider(f"parameter {default}", "26", f"{name} - 1")
        + divider("parameter RATIO = 3", "26", "RATIO - 1", "other")
        + "module top #(parameter CLK_HZ = 50_000_000) (input clk, input rst, output a, output b);"
        " divider u_slow(clk, rst, a); other #(.RATIO(CLK_HZ)) u_right(clk, rst, b); endmodule"
    )
    (finding,) = survey(tmp_path, text).findings(FASTEST)
    assert (finding.kind, finding.definite) == ("not_passed", definite)
    assert "is not passed on to u_slow, which keeps its default" in finding.text
    assert finding.place is not None
    assert "u_slow" in (finding.place.source or "")


def test_a_parameter_that_reaches_nothing_is_found(tmp_path: Path) -> None:
    text = counter("26", "count == 26'd999_999")
    (finding,) = survey(tmp_path, text).findings(FASTEST)
    assert finding.kind == "unused"


def test_a_parameter_that_only_sets_a_width_is_used(tmp_path: Path) -> None:
    assert survey(tmp_path, counter("$clog2(CLK_HZ)", "&count")).findings(FASTEST) == ()


def test_what_the_watched_outputs_do_not_depend_on_is_left_out(tmp_path: Path) -> None:
    text = """module top #(parameter CLK_HZ = 50_000_000) (input clk, input rst,
        output reg tick, output reg baud);
        reg [25:0] count; reg [3:0] few;
        always @(posedge clk) begin tick <= count == CLK_HZ - 1;
            count <= rst || count == CLK_HZ - 1 ? 0 : count + 1; end
        always @(posedge clk) begin baud <= few == CLK_HZ / 115_200 - 1; few <= baud ? 0 : few + 1; end
    endmodule"""
    assert survey(tmp_path, text, watched={"tick"}).findings(FASTEST) == ()
    assert {f.kind for f in survey(tmp_path, text, watched={"baud"}).findings(1)} == {"too_narrow", "inexact"}


def test_a_rounded_quotient_is_told_and_unsound_where_the_run_rounds_otherwise(tmp_path: Path) -> None:
    read = survey(tmp_path, counter("26", "count == CLK_HZ / 240 - 1"))
    assert [(f.kind, f.unsound) for f in read.findings(1)] == [("inexact", False)]
    (rounded,) = read.findings(50_000)
    assert (rounded.kind, rounded.unsound, rounded.definite) == ("inexact", True, False)
    assert rounded.native_clocks == NATIVE_HZ
    (free,) = read.findings(50_000, free_clocks=[4])
    assert not free.unsound


@pytest.fixture
def garbage() -> Iterator[list[object]]:
    """What only the collector of reference cycles can free."""
    gc.collect()
    gc.set_debug(gc.DEBUG_SAVEALL)
    yield gc.garbage
    gc.set_debug(0)
    gc.garbage.clear()


def test_nothing_of_an_elaboration_outlives_it(garbage: list[object], tmp_path: Path) -> None:
    """A symbol that outlives its compilation makes the reader end the process at some later time."""
    for text in (TOO_NARROW["always_comb and a task"], SCALES["own logarithm"], TRUNCATED["defparam"]):
        choose_factor(survey(tmp_path, text))
    gc.collect()
    assert [item for item in garbage if "slang" in type(item).__module__] == []
