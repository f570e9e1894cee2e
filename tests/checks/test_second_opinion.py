"""A design that depends on the simulator's choices is found by running it on two of them."""

from __future__ import annotations

import pytest

from verify.checks import Settings
from verify.results import Verdict

PORTS = 'count = "q", enable = "en"'
COUNT = "always @(posedge clk or posedge rst) if (rst) q <= 0; else if (go) q <= q == 9 ? 0 : q + 1;"
TAKE = "always @(posedge clk or posedge rst) if (rst) go {0} 0; else go {0} en;"
THOROUGH = Settings(examples=10, thorough=True)


def dial(*blocks: str) -> str:
    ports = "input clk, input rst, input en, output reg [3:0] q"
    return "\n".join([f"module dial({ports}); reg go;", *blocks, "endmodule"])


def test_a_race_that_verilator_happens_to_win_is_found(check) -> None:
    found = check(dial(TAKE.format("="), COUNT), "counter", PORTS, expect="modulo = 10",
                  more="latency = 0", settings=THOROUGH)  # fmt: skip
    assert (found.verdict, found.failure.kind) == (Verdict.FAIL, "simulators_disagree"), found.reason
    assert "on Icarus and" in found.failure.text


@pytest.mark.parametrize("blocks", [(0, 1), (1, 0)])
def test_the_same_two_blocks_without_a_race_agree(check, blocks: tuple[int, int]) -> None:
    text = (TAKE.format("<="), COUNT)
    found = check(dial(*(text[i] for i in blocks)), "counter", PORTS, expect="modulo = 10", settings=THOROUGH)
    assert found.verdict is Verdict.PASS, found.reason
    assert (found.latency, found.simulator) == (1, "icarus")


@pytest.mark.parametrize(("start", "verdict"), [("", Verdict.FAIL), ("initial idle = 0;", Verdict.PASS)])
def test_a_register_that_nothing_sets_is_found(check, start: str, verdict: Verdict) -> None:
    """An x in a condition takes the else branch on Icarus, where it hides."""
    next_one = "always @(*) if (idle != 0) next = q; else next = q == 9 ? 0 : q + 1;"
    step = "always @(posedge clk or posedge rst) if (rst) q <= 0; else if (en) q <= next;"
    text = dial("reg [7:0] idle; reg [3:0] next;", start, next_one, step)
    found = check(text, "counter", PORTS, expect="modulo = 10", settings=THOROUGH)
    assert found.verdict is verdict, found.reason
    if verdict is Verdict.FAIL:
        assert found.failure.kind == "simulators_disagree"
        assert found.failure.mismatch.port == "q"
        assert "on Verilator and" in found.reason
        assert any("nothing resets" in text for text in found.failure.also)
