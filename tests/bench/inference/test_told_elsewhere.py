"""What parameters, comments and the code itself tell where names say nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from verify.bench.inference.findings import Proposal
from verify.bench.inference.infer import infer


@pytest.fixture
def read(tmp_path: Path) -> Any:
    def reading(source: str) -> Proposal:
        (tmp_path / "t.v").write_text(source, encoding="utf-8")
        return infer([tmp_path / "t.v"]).proposals[-1]

    return reading


@pytest.mark.parametrize(
    ("parameters", "ratio"),
    [
        ("CLK_MHZ = 50, PERIOD_MS = 10", "CLK_MHZ * 1000000 * PERIOD_MS // 1_000"),
        ("CLK_PERIOD_NS = 20, T_US = 100", "1_000_000_000 // CLK_PERIOD_NS * T_US // 1_000_000"),
        ("PERIOD_MS = 10, CLOCKS_PER_MS = 8", "CLOCKS_PER_MS"),
    ],
)
def test_a_parameter_in_units_of_time_is_no_number_of_clocks(read: Any, parameters: str, ratio: str) -> None:
    source = (
        f"module pulser #(parameter {parameters}) (input clk, input rst, output tick);\nreg [31:0] c;\n"
        "always @(posedge clk) c <= rst | tick ? 0 : c + 1;\nassign tick = c == 99;\nendmodule"
    )
    assert read(source).expect == {"ratio": ratio}


def scanned(*, count: str = "", wrap: str = "n == 700", anodes: str = "4'b1110") -> str:
    return (
        f"// 12 MHz clock. {count}\nmodule shown(input clk, input rst, output [6:0] seg, output [3:0] an);\n"
        "reg [23:0] p; reg [13:0] n; wire t = p == 11_999_999;\n"
        "always @(posedge clk) if (rst) p <= 0; else p <= t ? 0 : p + 1;\n"
        f"always @(posedge clk) if (rst) n <= 0; else if (t) n <= {wrap} ? 0 : n + 1;\n"
        f"assign seg = n; assign an = {anodes};\nendmodule"
    )


@pytest.mark.parametrize(
    ("comment", "wrap", "modulo"),
    [
        ("Counts 0000 to 9999 on a 4-digit display", "n == 700", [10000]),
        ("shows 00:00 .. 59:59", "n == 700", [60, 60]),
        ("shows 00.00-99.59", "n == 9999", [60, 100]),
        ("", "n == 9999", [10000]),
    ],
)
def test_what_digits_count_follows_from_a_comment_else_from_all_nines(
    read: Any, comment: str, wrap: str, modulo: list[int]
) -> None:
    proposal = read(scanned(count=comment, wrap=wrap))
    assert proposal.expect["modulo"] == modulo
    assert not proposal.questions


def test_digits_that_nothing_tells_of_are_asked_about(read: Any) -> None:
    (question,) = read(scanned(wrap="n == 9998")).questions
    assert "what do the 4 digits of shown count?" in question.text


@pytest.mark.parametrize(
    ("anodes", "select"),
    [
        ("{2'b11, ~(2'b01 << p[9])}", "an[1:0]"),
        ("4'hE", "an"),
        ("{2'b01, ~(2'b01 << p[9])}", "an"),
    ],
)
def test_select_lines_that_are_tied_to_one_level_are_left_out(read: Any, anodes: str, select: str) -> None:
    assert read(scanned(count="00 to 99", anodes=anodes)).ports["select"] == select


def test_packed_hours_that_are_only_compared_are_packed_like_the_rest(read: Any) -> None:
    source = (
        "module clock12(input clk, reset, output reg pm, output reg [7:0] hh, mm, ss);\n"
        "always @(posedge clk) if (reset) begin hh <= 8'h12; mm <= 0; ss <= 0; pm <= 0; end\n"
        "else begin ss[3:0] <= ss[3:0] + 1; mm <= mm == 8'h59 ? 0 : mm + 1;\n"
        "if (hh == 8'h11) pm <= ~pm; end\nendmodule"
    )
    proposal = read(source)
    assert proposal.expect["modulo"] == [10, 6, 10, 6, 10, 2]
    assert proposal.expect["start"] == [0, 0, 0, 0, 2, 1]


def test_a_count_on_a_clock_that_is_divided_inside_is_a_timer(read: Any) -> None:
    source = (
        "module slow(input clk, input rst, output reg q); reg [25:0] n;\n"
        "always @(posedge clk) if (rst) begin n <= 0; q <= 0; end\n"
        "else if (n == 24_999_999) begin n <= 0; q <= ~q; end else n <= n + 1;\nendmodule\n"
        "module sixty(input clk, input rst, output reg [3:0] lo, hi);\n"
        "always @(posedge clk or posedge rst) if (rst) {hi, lo} <= 0;\n"
        "else if (lo == 9) begin lo <= 0; hi <= hi == 5 ? 0 : hi + 1; end else lo <= lo + 1;\nendmodule\n"
        "module top(input CLOCK_50, input rst, output [3:0] lo, hi); wire c;\n"
        "slow a(CLOCK_50, rst, c); sixty b(c, rst, lo, hi);\nendmodule"
    )
    proposal = read(source)
    assert (proposal.model, proposal.expect["modulo"]) == ("timer", [10, 6])
    assert proposal.clock.frequency == 50_000_000
    (question,) = read(source.replace("CLOCK_50", "ck")).questions
    assert "the code compares n with 24999999" in question.text


@pytest.mark.parametrize(("threshold", "added"), [("> 4", "3"), (">= 4'd5", "4'b0011"), ("> 5", "4'd3")])
def test_digits_that_are_corrected_by_three_are_those_of_a_converter(
    read: Any, threshold: str, added: str
) -> None:
    source = (
        "module c(input [7:0] in, output reg [11:0] out); integer i;\n"
        "always @* begin out = 0; for (i = 7; i >= 0; i = i - 1) begin\n"
        f"if (out[3:0] {threshold}) out[3:0] = out[3:0] + {added};\n"
        "out = {out[10:0], in[i]}; end end\nendmodule"
    )
    assert read(source).ports == {"binary": "in", "bcd": "out"}


CASCADE = """module digit #(parameter LAST = 9) (input clk, rst, en, output reg [3:0] q, output co);
assign co = en & (q == LAST);
always @(posedge clk) if (rst) q <= 0; else if (en) q <= co ? 0 : q + 1;
endmodule
module pair(input clk, rst, en, output [3:0] lo, hi); wire c;
digit #(9) a(clk, rst, en, lo, c); digit #(.LAST({tens})) b(.clk(clk), .rst(rst), .en(c), .q(hi));
endmodule
"""


@pytest.mark.parametrize(("tens", "moduli"), [("5", [10, 6]), ("9", [10, 10]), ("A_PARAMETER", [10, 10])])
def test_tens_to_five_show_in_what_their_part_is_given_else_they_are_a_rival(
    read: Any, tens: str, moduli: list[int]
) -> None:
    proposal = read(CASCADE.replace("{tens}", tens).replace("wire c;", "localparam A_PARAMETER = 5; wire c;"))
    assert proposal.expect["digit_modulo"] == moduli
    sixty = [{"digit_modulo": [10, 6]}] if moduli == [10, 10] else []
    assert [rival.expect for rival in proposal.rivals] == sixty


def toggling(comment: str, clock: str = "clk", out: str = "led", last: str = "2_999_999") -> str:
    return (
        f"// {comment}\nmodule blinks(input {clock}, output reg {out} = 0);\nreg [22:0] c = 0;\n"
        f"always @(posedge {clock}) if (c == {last}) begin c <= 0; {out} <= ~{out}; end "
        "else c <= c + 1;\nendmodule"
    )


@pytest.mark.parametrize(
    ("source", "rate"),
    [
        (toggling("blinks at 2 Hz; board clock 12 MHz"), 2),
        (toggling("clk 12 MHz -> 1 kHz"), 1000),
        (toggling("", "clk50", "clk25"), 25_000_000),
        (toggling("board clock 12 MHz"), 1),
        (toggling("clk 12 MHz, 5 Hz, 7 Hz"), 1),
    ],
)
def test_a_rate_follows_from_a_comment_or_a_clock_called_after_its_megahertz(
    read: Any, source: str, rate: int
) -> None:
    assert read(source).expect == {"rate": rate}


def test_a_rate_without_a_remainder_in_the_code_is_a_rival_and_a_slip_is_none(read: Any) -> None:
    even = {rival.expect["rate"] for rival in read(toggling("clock 12 MHz", last="1_499_999")).rivals}
    odd = {rival.expect["rate"] for rival in read(toggling("clock 12 MHz", last="1_500_000")).rivals}
    assert even - odd == {4}


def test_a_parameter_outranks_what_a_comment_says_of_the_rate(read: Any) -> None:
    source = toggling("clock 12 MHz, LED at 1 Hz", last="HALF - 1")
    assert read(source.replace("blinks(", "blinks #(parameter HALF = 8) (")).expect == {"ratio": "2 * HALF"}


def test_upper_bits_of_a_longer_register_are_asked_about(read: Any) -> None:
    source = (
        "module lamps(input clk, input rst, output [3:0] led); reg [25:0] n;\n"
        "always @(posedge clk) if (rst) n <= 0; else n <= n + 1;\nassign led = n[{}];\nendmodule"
    )
    (question,) = read(source.replace("{}", "25:22")).questions
    assert "once in 4,194,304 clocks" in question.text
    assert not read(source.replace("{}", "3:0")).questions


@pytest.mark.parametrize(("step", "unknown"), [("s + 1", True), ("{s[1:0], s[2]}", False)])
def test_a_select_that_is_counted_numbers_the_digits_and_is_no_line_for_each(
    tmp_path: Path, step: str, unknown: bool
) -> None:
    source = (
        "module shown(input clk, input rst, input [11:0] data, output [2:0] sel, output [6:0] seg);\n"
        f"reg [2:0] s; always @(posedge clk) if (rst) s <= 1; else s <= {step};\n"
        "assign sel = s; assign seg = data >> s;\nendmodule"
    )
    (tmp_path / "t.v").write_text(source, encoding="utf-8")
    found = infer([tmp_path / "t.v"]).unknown
    assert ["number of the digit" in u.differs for u in found] == [True] * unknown


@pytest.mark.parametrize(
    ("ports", "why"), [("ENP, ENT", "ENP and ENT both are the enable"), ("ENP, foo", "what foo does")]
)
def test_two_inputs_of_one_role_are_told_from_one_that_nothing_explains(
    tmp_path: Path, ports: str, why: str
) -> None:
    first, second = ports.split(", ")
    source = (
        f"module ctr(input CLK, CLRn, LDn, {ports}, input [3:0] D, output reg [3:0] Q);\n"
        f"always @(posedge CLK) if (!CLRn) Q <= 0; else if (!LDn) Q <= D; else if ({first} ^ {second}) "
        "Q <= Q + 1;\nendmodule"
    )
    (tmp_path / "t.v").write_text(source, encoding="utf-8")
    (unknown,) = infer([tmp_path / "t.v"]).unknown
    assert why in unknown.differs


@pytest.mark.parametrize(
    ("flag", "model"), [("zero", "timer"), ("done", "timer"), ("borrow", "counter"), ("co", "counter")]
)
def test_digits_that_count_down_may_stop_at_zero_unless_they_borrow(read: Any, flag: str, model: str) -> None:
    source = (
        f"module cnt_down(input clk, rst_n, en, output reg [3:0] d1, d0, output {flag});\n"
        f"assign {flag} = d1 == 0 & d0 == 0;\n"
        "always @(posedge clk or negedge rst_n) if (!rst_n) begin d1 <= 9; d0 <= 9; end\n"
        "else if (en) if (d0 == 0) begin d0 <= 9; d1 <= d1 - 1; end else d0 <= d0 - 1;\nendmodule"
    )
    proposal = read(source)
    assert proposal.model == model
    if model == "timer":
        assert proposal.expect["modulo"] == [10, 10]
        assert {"start": [9, 9]} in [choice.expect for axis in proposal.axes for choice in axis]


TWO_DIGITS = """module pair(input clk, input [3:0] d0, input [3:0] d1, output [1:0] sel, output [6:0] seg);
  reg k = 0; always @(posedge clk) k <= ~k;
  wire [3:0] x = k ? d1 : d0;
  reg [6:0] s;
  always @* case (x) 0: s = 7'h3f; 1: s = 7'h06; 2: s = 7'h5b; 3: s = 7'h4f; 4: s = 7'h66;
    5: s = 7'h6d; 6: s = 7'h7d; 7: s = 7'h07; 8: s = 7'h7f; 9: s = 7'h6f; default: s = 0; endcase
  assign seg = s;
  assign sel = {drive};
endmodule
"""


@pytest.mark.parametrize(("drive", "level"), [("~(2'd1 << k)", "low"), ("2'd1 << k", "high")])
def test_an_inversion_tells_the_level_of_two_select_lines(read: Any, drive: str, level: str) -> None:
    proposal = read(TWO_DIGITS.replace("{drive}", drive))
    assert proposal.expect["scan"] == {"select_active": level}
    other = {"low": "high", "high": "low"}[level]
    assert {"scan": {"select_active": other}} in [rival.expect for rival in proposal.rivals]


def test_digits_numbered_by_their_worth_are_loaded_from_ports_that_are_numbered_alike(read: Any) -> None:
    proposal = read(
        "module egg #(parameter TICKS = 100) (input clk, input load, input [3:0] sec10_i, sec1_i,\n"
        "output reg [3:0] sec1_o, output reg [3:0] sec10_o);\nreg [6:0] t = 0;\n"
        "always @(posedge clk) if (load) begin t <= 0; sec1_o <= sec1_i; sec10_o <= sec10_i; end\n"
        "else if (t == TICKS - 1) begin t <= 0; sec1_o <= sec1_o == 9 ? 0 : sec1_o + 1;\n"
        "if (sec1_o == 9) sec10_o <= sec10_o == 5 ? 0 : sec10_o + 1; end else t <= t + 1;\nendmodule"
    )
    assert proposal.ports["stages"] == ["sec1_o", "sec10_o"]
    assert proposal.ports["load_values"] == ["sec1_i", "sec10_i"]
    assert proposal.expect["modulo"] == [10, 6]


UNNAMED = """module beat(input clk, input rst, output reg tick_{rate}hz);
  reg [25:0] c; reg wave;
  always @(posedge clk) if (rst) begin c <= 0; wave <= 0; tick_{rate}hz <= 0; end
    else begin tick_{rate}hz <= c == {last}; c <= c == {last} ? 0 : c + 1; {more} end
endmodule
"""


@pytest.mark.parametrize(
    ("rate", "last", "more", "hertz"),
    [
        (1, 49_999_999, "", 50_000_000),
        (100, 119_999, "", 12_000_000),
        (1, 50_000_000, "", None),  # a slip by one
        (1, 30_999_999, "", None),  # nobody's clock
        (1, 49_999_999, "if (c == 0) wave <= ~wave;", None),  # half a period, or a whole one?
    ],
)
def test_a_number_that_is_right_for_a_usual_clock_tells_its_frequency(
    read: Any, rate: int, last: int, more: str, hertz: int | None
) -> None:
    proposal = read(UNNAMED.format(rate=rate, last=last, more=more))
    assert proposal.clock.frequency == hertz
    assert bool(proposal.questions) == (hertz is None)
    if hertz is not None:
        assert proposal.expect["rate"] == rate
