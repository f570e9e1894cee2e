"""What single modules are taken for; what names say decides, and what they leave open is asked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from verify.bench.inference.findings import Proposal
from verify.bench.inference.infer import Inference, infer
from verify.errors import DesignError


@pytest.fixture
def read(tmp_path: Path) -> Any:
    def reading(source: str, name: str = "t.v") -> Inference:
        (tmp_path / name).write_text(source, encoding="utf-8")
        return infer([tmp_path / name])

    return reading


def only(inference: Inference) -> Proposal:
    (proposal,) = inference.proposals
    return proposal


def counter(name: str, wrap: str, *, ports: str = "input clk, input rst", parameters: str = "") -> str:
    return (
        f"module {name} {parameters} ({ports}, output reg [5:0] q);\n"
        f"always @(posedge clk) if (rst) q <= 0; else if ({wrap}) q <= 0; else q <= q + 1;\nendmodule\n"
    )


@pytest.mark.parametrize(
    ("name", "modulo"),
    [
        ("mod13", 13),
        ("counter_mod_24", 24),
        ("decade_counter", 10),
        ("cnt_0_to_59", 60),
        ("seconds_counter", 60),
        ("zaehler_sekunden", 60),
        ("count60", 60),
        ("counter_24_v2", 24),
    ],
)
def test_the_states_follow_from_the_name_whatever_the_code_compares(
    read: Any, name: str, modulo: int
) -> None:
    proposal = only(read(counter(name, "q == 40")))
    assert proposal.expect["modulo"] == modulo
    assert not proposal.questions


def test_a_number_in_the_name_of_the_file_is_doubted_where_the_code_has_another_usual_one(read: Any) -> None:
    proposal = only(read(counter("thing", "q == 23"), name="counter10.v"))
    assert proposal.expect["modulo"] == 10
    assert [rival.expect["modulo"] for rival in proposal.rivals] == [24]
    assert only(read(counter("thing", "q == 22"), name="counter10.v")).rivals == ()


def test_a_constant_in_the_code_is_no_expectation_but_a_question(read: Any) -> None:
    (question,) = only(read(counter("thing", "q == 36"))).questions
    assert "compares q with 36" in question.text
    assert [bench for _, bench in question.readings] == [
        "expect = { modulo = 37 }",
        "expect = { modulo = 36 }",
    ]
    assert question.place is not None
    assert question.place.line == 2


def test_a_counter_that_compares_nothing_has_all_states_of_its_bits(read: Any) -> None:
    source = (
        "module c(input clk, input rst, output reg [5:0] q);\n"
        "always @(posedge clk) if (rst) q <= 0; else q <= q + 1;\nendmodule"
    )
    proposal = only(read(source))
    assert "modulo" not in proposal.expect
    assert not proposal.questions
    assert any("all 64 states" in a.text for a in proposal.assumptions)


@pytest.mark.parametrize(
    ("parameter", "value", "expected", "rival"),
    [
        ("MODULO", 13, "MODULO", None),
        ("MAX", 59, "MAX + 1", "MAX"),
        ("MAX", 60, "MAX", "MAX + 1"),
        ("LAST", 12, "LAST + 1", "LAST"),
    ],
)
def test_a_parameter_says_the_states_and_a_vague_one_leaves_a_rival(
    read: Any, parameter: str, value: int, expected: str, rival: str | None
) -> None:
    source = counter("thing", f"q == {parameter}", parameters=f"#(parameter {parameter} = {value})")
    proposal = only(read(source))
    assert proposal.expect["modulo"] == expected
    assert [r.expect["modulo"] for r in proposal.rivals] == ([rival] if rival else [])


@pytest.mark.parametrize(
    ("sensitivity", "condition", "port", "active"),
    [
        ("posedge clk", "rst", "rst", "high"),
        ("posedge clk", "!rst_n", "rst_n", "low"),
        ("posedge clk or negedge rst_n", "~rst_n", "rst_n", "low"),
        ("posedge clk or posedge clear", "clear == 1'b1", "clear", "high"),
        ("posedge clk", "key == 1'b0", "key", "low"),
    ],
)
def test_the_code_says_which_level_resets(
    read: Any, sensitivity: str, condition: str, port: str, active: str
) -> None:
    source = (
        f"module mod10(input clk, input {port}, output reg [3:0] q);\nalways @({sensitivity})\n"
        f"if ({condition}) q <= 0; else if (q == 9) q <= 0; else q <= q + 1;\nendmodule"
    )
    reset = only(read(source)).reset
    assert reset is not None
    assert (reset.port, reset.active) == (port, active)


@pytest.mark.parametrize(
    ("sensitivity", "condition"), [("posedge clk", "rst_n"), ("posedge clk or negedge rst", "rst")]
)
def test_a_reset_that_contradicts_itself_is_asked_about(read: Any, sensitivity: str, condition: str) -> None:
    source = (
        f"module mod10(input clk, input {condition}, output reg [3:0] q);\nalways @({sensitivity})\n"
        f"if ({condition}) q <= 0; else if (q == 9) q <= 0; else q <= q + 1;\nendmodule"
    )
    (question,) = only(read(source)).questions
    assert [bench for _, bench in question.readings] == ['[reset] active = "high"', '[reset] active = "low"']


def test_a_reset_to_an_odd_number_is_asked_about(read: Any) -> None:
    (question,) = only(
        read(counter("mod60", "q == 59").replace("if (rst) q <= 0", "if (rst) q <= 3"))
    ).questions
    assert "where does reset put it? The code says 3" in question.text


@pytest.mark.parametrize(
    ("ports", "edge"), [("clk", "rising"), ("clk", "falling"), ("takt", "rising"), ("C", "rising")]
)
def test_the_clock_is_what_the_registers_wait_for(read: Any, ports: str, edge: str) -> None:
    word = "posedge" if edge == "rising" else "negedge"
    source = (
        f"module mod10(input {ports}, output reg [3:0] q);\n"
        f"always @({word} {ports}) q <= q == 9 ? 0 : q + 1;\nendmodule"
    )
    clock = only(read(source)).clock
    assert clock is not None
    assert (clock.port, clock.edge) == (ports, edge)


def test_digits_are_ordered_by_their_names_not_by_their_wiring(read: Any) -> None:
    source = (
        "module bin2dec(input [6:0] n, output [3:0] tens, output [3:0] ones);\n"
        "assign ones = n / 10; assign tens = n % 10;\nendmodule"
    )
    proposal = only(read(source))
    assert proposal.ports["digits"] == ["ones", "tens"]
    assert not proposal.rivals


def test_a_testbench_among_the_sources_is_left_out_and_said(read: Any) -> None:
    source = counter("mod60", "q == 59") + (
        "module tb; reg clk = 0, rst = 1; wire [5:0] q; mod60 dut(clk, rst, q);\n"
        "always #5 clk = ~clk; initial #100 $finish; endmodule\n"
    )
    inference = read(source)
    assert inference.tops == ("mod60",)
    assert inference.testbenches == ("tb",)
    assert inference.remarks == ("tb: taken for a testbench and left out",)


def test_an_unknown_module_says_what_is_nearest_and_what_differs(read: Any) -> None:
    inference = read(
        "module mux(input s, input [3:0] a, b, output [3:0] y);\nassign y = s ? a : b;\nendmodule"
    )
    (unknown,) = inference.unknown
    assert unknown.nearest == "bcd"
    assert "neither decimal digits nor seven segments" in unknown.differs


@pytest.mark.parametrize("name", ["lfsr4", "gray_counter", "johnson"])
def test_a_code_that_is_not_counted_in_steps_is_no_counter(read: Any, name: str) -> None:
    source = (
        f"module {name}(input clk, input rst, output reg [3:0] q);\n"
        "always @(posedge clk) if (rst) q <= 1; else q <= {q[2:0], q[3]};\nendmodule"
    )
    inference = read(source)
    assert not inference.proposals
    assert inference.unknown


def test_only_testbenches_are_no_design(read: Any) -> None:
    with pytest.raises(DesignError, match="no module with ports"):
        read("module tb; initial $finish; endmodule")


@pytest.mark.parametrize(
    ("head", "rate"),
    [
        ("#(parameter CLK_HZ = 1000) (input clk, input rst, output reg tick_10hz)", {"rate": 10}),
        ("#(parameter FREQUENZ = 1000) (input clk, input rst, output reg tick_1hz)", {"rate": 1}),
        (
            "#(parameter F_CLK = 1000, TICK_HZ = 50) (input clk, input rst, output reg tick)",
            {"ratio": "F_CLK // TICK_HZ"},
        ),
        ("#(parameter DIVISOR = 8) (input clk, input rst, output reg tick)", {"ratio": "DIVISOR"}),
    ],
)
def test_a_period_follows_from_frequency_and_rate_or_a_ratio(
    read: Any, head: str, rate: dict[str, Any]
) -> None:
    port = head.rpartition(" ")[2].rstrip(")")
    source = (
        f"module pulser {head};\nreg [9:0] c;\n"
        f"always @(posedge clk) if (rst) begin c <= 0; {port} <= 0; end\n"
        f"else begin c <= c + 1; {port} <= c == 5; end\nendmodule"
    )
    assert only(read(source)).expect == rate


def test_half_a_period_of_the_clock_of_a_timer_is_called_half(read: Any) -> None:
    source = (
        "module slow #(parameter HALF = 6_000_000) (input clk, input rst, output reg [5:0] seconds);\n"
        "reg [22:0] k; reg wave;\nalways @(posedge clk, posedge rst) if (rst) begin k <= 0; wave <= 0; end\n"
        "else if (k == HALF - 1) begin k <= 0; wave <= ~wave; end else k <= k + 1;\n"
        "always @(posedge wave or posedge rst) if (rst) seconds <= 0;\n"
        "else seconds <= seconds == 59 ? 0 : seconds + 1;\nendmodule"
    )
    proposal = only(read(source))
    assert proposal.expect["ratio"] == "2 * HALF"
    assert [rival.expect for rival in proposal.rivals if "ratio" in rival.expect] == [{"ratio": "HALF"}]


def test_a_period_that_nothing_tells_is_asked_about(read: Any) -> None:
    source = (
        "module pulser(input clk, input rst, output reg tick);\nreg [9:0] c;\nalways @(posedge clk)\n"
        "if (rst) c <= 0; else begin c <= c == 99 ? 0 : c + 1; tick <= c == 99; end\nendmodule"
    )
    (question,) = only(read(source)).questions
    assert "how many clocks" in question.text
    assert "expect = { ratio = 100 }" in [bench for _, bench in question.readings]


@pytest.mark.parametrize(
    ("comment", "wrap", "modulo"),
    [
        ("counts 0 to 12", "q == 40", 13),
        ("Modulo-24-Zähler", "q == 40", 24),
        ("contador de 0 a 59", "q == 40", 60),
        ("runs 00..23", "q == 40", 24),
        ("6 bits, 0 to 63", "q == 9", 10),
        ("at 12 MHz", "q == 23", 24),
    ],
)
def test_the_states_follow_from_a_comment_else_from_a_usual_number(
    read: Any, comment: str, wrap: str, modulo: int
) -> None:
    proposal = only(read(f"// {comment}\n" + counter("thing", wrap)))
    assert proposal.expect["modulo"] == modulo
    assert not proposal.questions


def test_a_comment_against_a_usual_number_in_the_code_is_a_rival_reading(read: Any) -> None:
    proposal = only(read("// counts 0 to 9\n" + counter("thing", "q == 11")))
    assert proposal.expect["modulo"] == 10
    assert [r.expect for r in proposal.rivals] == [{"modulo": 12}]


def test_what_a_comment_divides_by_is_the_ratio(read: Any) -> None:
    source = (
        "// divides the clock by 1_000\nmodule d(input clk, input rst, output reg q); reg [8:0] n;\n"
        "always @(posedge clk) if (rst) begin n <= 0; q <= 0; end "
        "else if (n == 3) begin n <= 0; q <= ~q; end else n <= n + 1;\nendmodule"
    )
    assert only(read(source)).expect == {"ratio": 1000}


def test_a_counter_that_only_takes_away_counts_down(read: Any) -> None:
    source = (
        "module c(input clk, input rst, output reg [3:0] q);\n"
        "always @(posedge clk) if (rst) q <= 9; else q <= q == 0 ? 4'd9 : q - 4'd1;\nendmodule"
    )
    assert only(read(source)).expect["direction"] == "down"


def test_an_enable_that_nothing_reads_is_an_enable_all_the_same(read: Any) -> None:
    proposal = only(read(counter("mod12", "q == 11", ports="input clk, input rst, input enable, input nc")))
    assert proposal.ports["enable"] == "enable"
    assert any("nc is read by nothing" in a.text for a in proposal.assumptions)


def test_a_reset_that_leaves_the_prescaler_running_is_a_clear_of_the_stages(read: Any) -> None:
    source = (
        "module t #(parameter CLK_HZ = 1000) (input clk, input rst, output reg [5:0] sec);\n"
        "reg [9:0] p = 0; always @(posedge clk) p <= p == CLK_HZ - 1 ? 0 : p + 1;\n"
        "always @(posedge clk) if (rst) sec <= 0; "
        "else if (p == CLK_HZ - 1) sec <= sec == 59 ? 0 : sec + 1;\nendmodule"
    )
    proposal = only(read(source))
    assert (proposal.reset, proposal.ports["clear"], proposal.expect["clear"]) == (None, "rst", "stages")
    both = source.replace("always @(posedge clk) p <=", "always @(posedge clk) if (rst) p <= 0; else p <=")
    assert only(read(both)).reset is not None


def test_a_counter_behind_a_prescaler_is_a_timer(read: Any) -> None:
    source = (
        "module digit #(parameter CLK_HZ = 1000) (input clk, input rst, output reg [3:0] count);\n"
        "reg [9:0] p; wire t = p == CLK_HZ - 1;\n"
        "always @(posedge clk) if (rst) p <= 0; else p <= t ? 0 : p + 1;\n"
        "always @(posedge clk) if (rst) count <= 0; else if (t) count <= count == 9 ? 0 : count + 1;\n"
        "endmodule"
    )
    proposal = only(read(source))
    assert (proposal.model, proposal.ports["stages"], proposal.expect["modulo"]) == ("timer", ["count"], [10])
    assert proposal.clock is not None
    assert proposal.clock.parameter == "CLK_HZ"


BOARD = """module mod10(input c, rst_n, en, output reg [3:0] q);
always @(posedge c) if (!rst_n) q <= 0; else if (en) q <= q == 9 ? 0 : q + 1;
endmodule
module board(input clock_12, input [3:0] key, input [9:0] sw, output [3:0] q, output [9:0] led);
mod10 u(.c(clock_12), .rst_n(~key[2]), .en(sw[4]), .q(q)); assign led = sw;
endmodule
"""


def test_pins_of_a_board_mean_what_the_part_behind_them_calls_them(read: Any) -> None:
    proposal = next(p for p in read(BOARD).proposals if p.module.name == "board")
    assert proposal.ports == {"enable": "sw[4]", "count": "q"}
    assert proposal.reset is not None
    assert (proposal.reset.port, proposal.reset.active) == ("key[2]", "high")


@pytest.mark.parametrize(("table", "model"), [(True, "segments"), (False, None)])
def test_drawn_digits_tell_what_an_output_without_a_name_is(
    read: Any, table: bool, model: str | None
) -> None:
    glyphs = (0x3F, 0x06, 0x5B, 0x4F, 0x66, 0x6D, 0x7D, 0x07, 0x7F, 0x6F)
    rows = "".join(f"{i}: w = 8'h{glyph if table else i * 7:02x}; " for i, glyph in enumerate(glyphs))
    found = read(
        "module t(input [3:0] k, output reg [7:0] w);\n"
        f"always @* case (k) {rows} default: w = 0; endcase\nendmodule"
    )
    assert [p.model for p in found.proposals] == ([model] if model else [])


def test_an_input_that_sets_the_polarity_is_tied_both_ways(read: Any) -> None:
    source = (
        "module seg7(input [3:0] digit, input common_anode, output [6:0] seg);\n"
        "reg [6:0] s; always @* case (digit) 0: s = 63; 1: s = 6; default: s = 0; endcase\n"
        "assign seg = common_anode ? ~s : s;\nendmodule"
    )
    proposals = read(source).proposals
    assert [p.tie for p in proposals] == [{"common_anode": 0}, {"common_anode": 1}]


def test_a_converter_that_works_by_itself_and_never_says_when_fits_no_model(read: Any) -> None:
    source = (
        "module bin2bcd(input clk, input [6:0] bin, output reg [3:0] tens, ones);\n"
        "reg [6:0] r = 0; reg [3:0] t = 0;\n"
        "always @(posedge clk) if (r > 9) begin r <= r - 10; t <= t + 1; end "
        "else begin tens <= t; ones <= r; r <= bin; t <= 0; end\nendmodule"
    )
    (unknown,) = read(source).unknown
    assert "says neither when it begins nor when it is done" in unknown.differs


@pytest.mark.parametrize(("tens", "kinds"), [(2, [24]), (4, [24])])
def test_hours_in_digits_behind_a_prescaler_wrap_at_24(read: Any, tens: int, kinds: list[int]) -> None:
    source = (
        "module clock #(parameter CLK_HZ = 1000) (input clk, input rst,\n"
        f"output reg [3:0] m0, m1, h0, output reg [{tens - 1}:0] h1);\n"
        "reg [19:0] p; wire t = p == CLK_HZ - 1;\n"
        "always @(posedge clk) if (rst) p <= 0; else p <= t ? 0 : p + 1;\n"
        "always @(posedge clk) if (rst) {h1, h0, m1, m0} <= 0; else if (t) m0 <= m0 + 1;\nendmodule"
    )
    source = source.replace("m0", "min_ones").replace("m1", "min_tens")
    proposal = only(read(source.replace("h0", "hour_ones").replace("h1", "hour_tens")))
    (hours,) = (axis for axis in proposal.axes if "states" in axis[0].expect)
    assert [choice.expect["states"] for choice in hours] == [60 * kind for kind in kinds]
    assert hours[0].expect["modulo"] == [10, 6, 10, 3]
