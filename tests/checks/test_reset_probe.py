"""What registered outputs show in reset: measured, pinned, and promised by an option."""

from __future__ import annotations

import pytest

from verify.errors import BenchError
from verify.results import Verdict

CONVERTER = """
module conv(input clk, input rst, input [5:0] n, output {output} [3:0] tens, output {output} [3:0] ones);
  {body}
endmodule
"""
REGISTERED = """
  initial {{tens, ones}} = 0;
  always @(posedge clk) if ({when}) {{tens, ones}} <= {shows}; else begin {data} end
"""
DATA = "tens <= n / 10; ones <= n % 10;"
PORTS = 'binary = "n", digits = ["ones", "tens"]'


def converter(when: str = "rst", shows: str = "8'h00", data: str = DATA) -> str:
    return CONVERTER.format(output="reg", body=REGISTERED.format(when=when, shows=shows, data=data))


@pytest.mark.parametrize(
    ("design", "shown"),
    [
        (converter(), [0, 0]),
        (converter(shows="8'hA7"), [7, 10]),
        (converter(when="1'b0"), "any"),
        (converter(shows="{tens, ones}"), "any"),
        (converter(shows="{tens, 4'h3}"), [3, "any"]),
    ],
)
def test_what_a_register_shows_in_reset_is_measured_and_nothing_of_it_is_wrong(check, design, shown) -> None:
    result = check(design, "bcd", PORTS)
    assert result.verdict is Verdict.PASS, result.reason
    assert {f.name: f.value for f in result.facts if f.source == "measured"}["in_reset"] == shown


@pytest.mark.parametrize(
    ("design", "verdict"),
    [
        (converter(), Verdict.PASS),
        (converter(shows="8'h10"), Verdict.FAIL),
        (converter(when="1'b0"), Verdict.FAIL),
        (converter(shows="{tens, ones}"), Verdict.FAIL),
    ],
)
def test_a_pinned_value_in_reset_is_required(check, design, verdict) -> None:
    result = check(design, "bcd", PORTS, more="facts = { in_reset = [0, 0] }")
    assert result.verdict is verdict, result.reason
    if verdict is Verdict.FAIL:
        assert result.failure.kind == "pinned_fact"
        assert "in_reset is pinned to [0, 0], and the design has" in result.reason


def test_an_output_may_be_left_out_of_the_pin(check) -> None:
    pin = 'facts = { in_reset = [3, "any"] }'
    assert check(converter(shows="{tens, 4'h3}"), "bcd", PORTS, more=pin).verdict is Verdict.PASS
    assert check(converter(shows="{tens, 4'h2}"), "bcd", PORTS, more=pin).verdict is Verdict.FAIL


def test_an_output_without_latency_has_no_value_in_reset_to_pin(check) -> None:
    direct = CONVERTER.format(output="", body="assign tens = n / 10, ones = n % 10;")
    assert "in_reset" not in {f.name for f in check(direct, "bcd", PORTS).facts}
    with pytest.raises(BenchError, match="in_reset is measured where the golden model does not say"):
        check(direct, "bcd", PORTS, more="facts = { in_reset = 0 }")


DECODER = """
module dec(input clk, input rst, input [3:0] d, output reg [7:0] s);
  reg [7:0] g;
  always @* case (d) 0: g = 63; 1: g = 6; 2: g = 91; 3: g = 79; 4: g = 102; 5: g = 109; 6: g = 125;
    7: g = 7; 8: g = 127; 9: g = 111; default: g = 0; endcase
  {register}
endmodule
"""


@pytest.mark.parametrize(
    ("register", "verdict"),
    [
        ("always @(posedge clk) if (rst) s <= 8'h40; else s <= g;", Verdict.PASS),
        ("always @(posedge clk) if (rst) s <= 8'hc0; else s <= g;", Verdict.PASS),  # the point
        ("always @(posedge clk or posedge rst) if (rst) s <= 8'h40; else s <= g;", Verdict.PASS),
        ("always @(posedge clk) if (rst) s <= 8'h00; else s <= g;", Verdict.FAIL),
        ("always @(posedge clk) s <= g;", Verdict.FAIL),
        ("always @* s = g;", Verdict.FAIL),
    ],
)
def test_what_a_decoder_is_said_to_show_in_reset_is_required(check, register, verdict) -> None:
    result = check(
        DECODER.format(register=register),
        "segments",
        'digit = "d", segments = "s[6:0]"' if "c0" not in register else 'digit = "d", segments = "s"',
        expect='reset_shows = "dash"',
    )
    assert result.verdict is verdict, result.reason
    if verdict is Verdict.FAIL:
        assert 'reset_shows = "dash" asks for 1000000' in result.reason


DISPLAY = """
module clock(input clk, input rst, output reg [6:0] low, output reg [6:0] high);
  reg [6:0] n;
  function [6:0] g(input [3:0] d); case (d) 0: g = 63; 1: g = 6; 2: g = 91; 3: g = 79; 4: g = 102;
    5: g = 109; 6: g = 125; 7: g = 7; 8: g = 127; default: g = 111; endcase endfunction
  always @(posedge clk) if (rst) n <= 0; else n <= n == 59 ? 0 : n + 1;
  always @(posedge clk) if (rst) {{high, low}} <= {shows}; else begin low <= g(n % 10); high <= g(n / 10); end
endmodule
"""


@pytest.mark.parametrize(("shows", "verdict"), [("14'h0", Verdict.PASS), ("14'h1", Verdict.FAIL)])
def test_what_a_display_is_said_to_show_in_reset_is_required(check, shows, verdict) -> None:
    result = check(
        DISPLAY.format(shows=shows),
        "display",
        'digits = ["low", "high"]',
        expect='modulo = [60], ratio = 1, reset_shows = "blank"',
    )
    assert result.verdict is verdict, result.reason


STARTED = """
module conv(input clk, input rst, input go, input [6:0] n, output reg [7:0] q, output reg ready);
  reg [6:0] rest; reg [3:0] t; reg on;
  always @(posedge clk or posedge rst)
    if (rst) begin on <= 0; ready <= 0; rest <= 0; t <= 0; {cleared} end
    else begin
      ready <= 0;
      if (!on) begin if (go) begin on <= 1; rest <= n; t <= 0; end end
      else if (rest >= 10) begin rest <= rest - 10; t <= t + 1; end
      else begin on <= 0; ready <= 1; q <= {{t, rest[3:0]}}; end
    end
endmodule
"""


@pytest.mark.parametrize(
    ("cleared", "shown"), [("q <= 0;", [0, 0]), ("q <= 8'h99;", [0x99, 0]), ("", ["any", 0])]
)
def test_the_result_of_a_started_converter_in_reset_is_measured_and_may_be_pinned(
    check, cleared, shown
) -> None:
    design = STARTED.format(cleared=cleared)
    ports = 'binary = "n", bcd = "q", start = "go", done = "ready"'
    options = "digits = 2, max_value = 99, max_cycles = 12"
    result = check(design, "bcd", ports, expect=options)
    assert result.verdict is Verdict.PASS, result.reason
    assert {f.name: f.value for f in result.facts}["in_reset"] == shown
    pinned = check(design, "bcd", ports, expect=options, more="facts = { in_reset = [0, 0] }")
    assert (pinned.verdict is Verdict.PASS) == (shown == [0, 0])
