"""Timers and counters that run because a button was pressed."""

from __future__ import annotations

from typing import Any

import pytest

from verify.checks import Settings
from verify.results import Verdict

QUICK = Settings(examples=1, explain_seconds=0.0, simulator="icarus", cycles_limit=40_000)

TIMER = """module exposure_watch(input clk, input rst, input start, input stop, input clear,
  output reg [1:0] sec, output reg [1:0] min);
  reg run, start_was, stop_was; reg [2:0] clocks; reg [2:0] s, p;
  wire on = start;
  wire off = stop;
  wire wipe = clear;
  wire going = run;
  wire last = clocks == 4;
  always @(posedge clk) begin s <= {s[1:0], start}; p <= {p[1:0], stop}; end
  always @(posedge clk) if (rst) begin start_was <= 0; stop_was <= 0; end
    else begin start_was <= start; stop_was <= stop; end
  always @(posedge clk)
    if (rst) run <= 0;
    else if (off) run <= 0;
    else if (on) run <= 1;
  always @(posedge clk)
    if (rst) begin clocks <= 0; sec <= 0; min <= 0; end
    else if (wipe) begin clocks <= 0; sec <= 0; min <= 0; end
    else if (going) begin
      clocks <= last ? 0 : clocks + 1;
      if (last) sec <= sec + 1;
      if (last && sec == 3) min <= min == 2 ? 0 : min + 1;
    end
endmodule
"""
PORTS = 'stages = ["sec", "min"], start = "start", stop = "stop", clear = "clear"'
EXPECT = "modulo = [4, 3], ratio = 5"

EDGES = {"on = start;": "on = start & ~start_was;", "off = stop;": "off = stop & ~stop_was;"}
SYNCHRONISED = {"on = start;": "on = s[1] & ~s[2];", "off = stop;": "off = p[1] & ~p[2];"}
START_WINS = {
    "else if (off) run <= 0;": "else if (on) run <= 1;",
    "    else if (on) run <= 1;\n  always": "    else if (off) run <= 0;\n  always",
}

RIGHT: dict[str, tuple[dict[str, str], dict[str, Any]]] = {
    "levels": ({}, {"start_acts": "level", "start_takes": 1, "start_and_stop": "stop"}),
    "start wins": (START_WINS, {"start_and_stop": "start"}),
    "edges": (EDGES, {"start_acts": "edge", "stop_acts": "edge", "buttons_in_reset": "are reset"}),
    "synchronised": (
        SYNCHRONISED,
        {"start_acts": "edge", "start_takes": 3, "stop_takes": 3, "buttons_in_reset": "are followed"},
    ),
    "at once": (
        {"going = run;": "going = (run | start) & ~stop;"},
        {"start_takes": 0, "stop_takes": 0},
    ),
    "from reset on": ({"if (rst) run <= 0;": "if (rst) run <= 1;"}, {"runs_from_reset": True}),
    "clear stops": ({"else if (off)": "else if (off | wipe)"}, {"clear_stops": "yes"}),
    "no clear while it runs": (
        {"wipe = clear;": "wipe = clear & ~run;"},
        {"clear_while_running": "is ignored"},
    ),
}

FLAWED = {
    "stop clears, too": {"if (wipe)": "if (wipe | off)"},
    "a pause loses the part of a second": {
        "      if (last && sec": "      if (last && sec",
        "    end\nendmodule": "    end\n    else clocks <= 0;\nendmodule",
    },
    "a start is missed in the third second": {"on = start;": "on = start & ~(sec == 2);"},
    "a stop is late at the wrap": {"off = stop;": "off = last ? 1'b0 : stop | (p[0] & clocks == 0);"},
    "clear forgets the minutes": {
        "(wipe) begin clocks <= 0; sec <= 0; min <= 0; end": "(wipe) begin clocks <= 0; sec <= 0; end",
    },
    "it stops by itself in one state": {
        "else if (off)": "else if (off | (sec == 1 & min == 2 & clocks == 3))"
    },
}


def changed(changes: dict[str, str], text: str = TIMER) -> str:
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    return text


def measured(result: Any) -> dict[str, Any]:
    return {fact.name: fact.value for fact in result.facts if fact.source == "measured"}


@pytest.mark.parametrize("name", RIGHT)
def test_a_right_latch_passes_and_what_it_does_is_told(check: Any, name: str) -> None:
    changes, facts = RIGHT[name]
    result = check(changed(changes), "timer", PORTS, expect=EXPECT, settings=QUICK)
    assert result.verdict is Verdict.PASS, result.reason
    told = measured(result)
    assert {n: told.get(n) for n in facts} == facts


@pytest.mark.parametrize("name", FLAWED)
def test_a_fault_is_not_taken_for_a_fact(check: Any, name: str) -> None:
    result = check(changed(FLAWED[name]), "timer", PORTS, expect=EXPECT, settings=QUICK)
    assert result.verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("pin", "changes"),
    [
        ('start_and_stop = "stop"', START_WINS),
        ('start_acts = "edge"', {}),
        ("start_takes = 1", SYNCHRONISED),
        ("runs_from_reset = false", {"if (rst) run <= 0;": "if (rst) run <= 1;"}),
    ],
)
def test_what_a_bench_pins_is_held_against_the_design(check: Any, pin: str, changes: dict[str, str]) -> None:
    result = check(
        changed(changes), "timer", PORTS, expect=EXPECT, more=f"facts = {{ {pin} }}", settings=QUICK
    )
    assert result.verdict is Verdict.FAIL
    assert f"{pin.partition(' ')[0]} is pinned to" in result.reason
