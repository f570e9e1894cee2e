from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import verify

COUNTER = """module hours (input wire clk, input wire rst, input wire en, input wire ld, input wire [4:0] v,
              output reg [4:0] q, output wire [3:0] tens);
    always @(posedge clk)
        if (rst) q <= 5'd0;
        else if (ld) q <= v;
        else if (en) q <= q == 5'd23 ? 5'd0 : q + 5'd1;
    assign tens = 4'd0;
endmodule
"""
BENCH = """[design]
sources = ["hours.v"]
[clock]
port = "clk"
{reset}
[[check]]
name = "hours"
model = "counter"
ports = {{ count = "q", enable = "en", load = "ld", load_value = "v" }}
expect = {{ modulo = {modulo} }}
"""
RESET = '[reset]\nport = "rst"'


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("hours")


def opened(folder, *, verilog=COUNTER, reset=RESET, modulo=24):
    (folder / "hours.v").write_text(verilog)
    (folder / "bench.toml").write_text(BENCH.format(reset=reset, modulo=modulo))
    return verify.simulate(folder / "bench.toml")


@pytest.fixture(scope="module")
def hours(folder):
    with opened(folder) as design:
        yield design


@settings(max_examples=20, deadline=None)
@given(st.lists(st.booleans(), min_size=1, max_size=60))
def test_play_says_what_the_outputs_do_and_expected_what_they_should(hours, enables):
    trace = hours.play(enable=enables)
    assert trace["count"] == [sum(enables[:cycle]) % 24 for cycle in range(len(enables))]
    assert hours.expected(enable=enables)["count"] == trace["count"]


def test_steps_start_from_reset_and_inputs_that_are_not_named_rest(hours):
    steps = [hours.hold(load=1, load_value=22), hours.hold(3), hours.reset(), hours.hold(2, enable=0)]
    for _ in range(2):
        trace = hours.play(steps)
        assert trace["count"] == [0, 22, 23, 0, 1, 0, 0]
    assert trace.changes("count") == [(0, 0), (1, 22), (2, 23), (3, 0), (4, 1), (5, 0)]
    assert trace.at(-3) == trace.at(4) == {"count": 1}
    assert len(trace) == 7


@settings(max_examples=10, deadline=None)
@given(st.data())
def test_a_right_design_matches_whatever_its_strategies_draw(hours, data):
    hours.assert_matches(data.draw(hours.stimuli()))
    value = data.draw(hours.values("load_value"))
    assert 0 <= value < 24
    assert hours.play([hours.hold(load=1, load_value=value), hours.hold()])["count"] == [0, value]


def test_a_wrong_design_does_not_match_and_the_report_says_where(tmp_path):
    with opened(tmp_path, verilog=COUNTER.replace("23", "24")) as design:
        design.assert_matches([design.hold(20)])
        with pytest.raises(
            AssertionError, match=r"(?s)cycle 26 .*hours.v:5.*cycle 2 here is cycle 0 of the steps"
        ):
            design.assert_matches([design.hold(30)])


def test_an_unknown_bit_is_none_and_a_design_without_reset_is_powered_up_for_every_play(tmp_path):
    unset = COUNTER.replace("if (rst) q <= 5'd0;\n        else ", "")
    with opened(tmp_path, verilog=unset, reset="") as design:
        steps = [design.hold(2), design.hold(load=1, load_value=5), design.hold(2)]
        assert [design.play(steps)["count"] for _ in range(2)] == 2 * [[None, None, None, 5, 6]]


@pytest.mark.parametrize(
    ("play", "said"),
    [
        (lambda d: d.hold(0), "cycles=0, expected 1 or more"),
        (
            lambda d: d.hold(enabel=1),
            "no input has the role 'enabel'; the inputs of this check are: enable, load",
        ),
        (lambda d: d.hold(load_value=32), r"load_value=32, expected 0 to 31 \(5 bits\)"),
        (lambda d: d.play(), "expected steps"),
        (lambda d: d.play(enable=[1], load=[0, 0]), "enable has 1, load has 2"),
        (lambda d: d.values("count"), "no input has the role 'count'"),
    ],
)
def test_what_cannot_be_played_is_refused_in_words(hours, play, said):
    with pytest.raises(ValueError, match=said):
        play(hours)


def test_a_role_that_is_no_output_and_a_check_that_is_none_are_refused_with_what_there_is(hours, folder):
    with pytest.raises(KeyError, match="no output has the role 'tens'; there is count"):
        hours.play([hours.hold()])["tens"]
    with pytest.raises(verify.BenchError, match="no check is called 'hour'") as refused:
        verify.simulate(folder / "bench.toml", "hour")
    assert refused.value.advice == "did you mean 'hours'?"
