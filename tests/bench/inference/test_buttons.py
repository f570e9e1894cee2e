"""What buttons are to a design: told by what the code does with them, then by their names."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from verify.bench.inference.findings import Proposal, Unknown
from verify.bench.inference.infer import infer

COUNTING = """
  always @(posedge clk)
    if (rst) begin part <= 0; sec <= 0; min <= 0; end
    else if ({runs}) begin
      part <= part == 7 ? 0 : part + 1;
      if (part == 7) sec <= sec == 59 ? 0 : sec + 1;
      if (part == 7 && sec == 59) min <= min == 59 ? 0 : min + 1;
    end
endmodule
"""


def watch(ports: str, latch: str, runs: str = "run") -> str:
    return (
        f"module watch(input clk, input rst, {ports}, output reg [5:0] sec, output reg [5:0] min);\n"
        f"  reg [2:0] part; reg run; reg [2:0] s, p;\n{latch}{COUNTING.format(runs=runs)}"
    )


def level(go: str, halt: str) -> str:
    return f"  always @(posedge clk) if (rst) run <= 0; else if ({halt}) run <= 0; else if ({go}) run <= 1;"


def turning(condition: str, how: str = "run <= ~run;") -> str:
    return f"  always @(posedge clk) if (rst) run <= 0; else if ({condition}) {how}"


@pytest.fixture
def read(tmp_path: Path) -> Any:
    def reading(source: str) -> Proposal | Unknown:
        (tmp_path / "t.v").write_text(source, encoding="utf-8")
        found = infer([tmp_path / "t.v"])
        return next(r for r in (*found.unknown, *found.proposals) if r.module.name == found.tops[-1])

    return reading


def buttons(proposal: Proposal | Unknown) -> dict[str, Any]:
    assert isinstance(proposal, Proposal), proposal
    return {
        role: p for role, p in proposal.ports.items() if role in {"start", "stop", "start_stop", "enable"}
    }


@pytest.mark.parametrize(
    ("go", "halt"),
    [("start", "stop"), ("go", "halt"), ("btn_start", "btn_stop"), ("iniciar", "parar"), ("marche", "arret")],
)
def test_what_sets_and_clears_a_latch_starts_and_stops(read: Any, go: str, halt: str) -> None:
    found = read(watch(f"input {go}, input {halt}", level(go, halt)))
    assert buttons(found) == {"start": go, "stop": halt}


SYNC = "  always @(posedge clk) begin s <= {s[1:0], start}; p <= {p[1:0], stop}; end\n"


@pytest.mark.parametrize(
    "latch",
    [
        SYNC + level("s[1] & ~s[2]", "p[1] & ~p[2]"),
        SYNC + "  wire go = s[1] && !s[2];\n" + level("go", "p[2]"),
        "  always @(posedge clk) run <= ~rst & ((run | start) & ~stop);",
        "  always @(posedge clk) run <= rst ? 1'b0 : stop ? 1'b0 : start ? 1'b1 : run;",
    ],
)
def test_registers_and_wires_before_a_latch_do_not_hide_it(read: Any, latch: str) -> None:
    assert buttons(read(watch("input start, input stop", latch))) == {"start": "start", "stop": "stop"}


@pytest.mark.parametrize("name", ["start_stop", "ss", "key", "run_btn", "startstop"])
@pytest.mark.parametrize(
    "how", ["run <= ~run;", "run <= !run;", "begin if (run) run <= 0; else run <= 1; end"]
)
def test_what_turns_a_latch_over_starts_and_stops_in_turn(read: Any, name: str, how: str) -> None:
    latch = f"  always @(posedge clk) s[0] <= {name};\n" + turning(f"{name} & ~s[0]", how)
    assert buttons(read(watch(f"input {name}", latch))) == {"start_stop": name}


def test_a_button_that_is_low_while_it_is_pressed_is_said_to_be_so(read: Any) -> None:
    found = buttons(read(watch("input start_n, input halt", level("!start_n", "!halt"))))
    assert found == {
        "start": {"port": "start_n", "active": "low"},
        "stop": {"port": "halt", "active": "low"},
    }


def test_a_start_under_which_the_counting_stands_is_an_enable(read: Any) -> None:
    assert buttons(read(watch("input start", "", runs="start"))) == {"enable": "start"}


def test_swapped_buttons_are_taken_at_their_names(read: Any) -> None:
    found = read(watch("input start, input stop", level("stop", "start")))
    assert buttons(found) == {"start": "start", "stop": "stop"}


DEBOUNCER = """module debounce(input clk, input d, output reg q); reg [19:0] steady;
  always @(posedge clk) if (d == q) steady <= 0; else begin steady <= steady + 1; if (&steady) q <= d; end
endmodule
"""


@pytest.mark.parametrize(
    "source",
    [
        DEBOUNCER
        + watch(
            "input start_stop",
            "  wire b; debounce u(.clk(clk), .d(start_stop), .q(b));\n"
            "  always @(posedge clk) s[0] <= b;\n" + turning("b & ~s[0]"),
        ),
        watch("input start, input resume, input stop", level("start | resume", "stop")),
        watch("input start_stop", "  always @(posedge clk) run <= 1;"),
    ],
)
def test_what_is_not_clear_is_no_model_rather_than_a_wrong_one(read: Any, source: str) -> None:
    assert isinstance(read(source), Unknown)


def test_a_latch_in_a_module_inside_is_found(read: Any) -> None:
    control = (
        "module control(input clk, input rst, input go, input halt, output reg running);\n"
        "  always @(posedge clk)\n"
        "    if (rst) running <= 0; else if (halt) running <= 0; else if (go) running <= 1;\n"
        "endmodule\n"
    )
    inside = "  wire on; control c(.clk(clk), .rst(rst), .go(start), .halt(stop), .running(on));"
    found = read(control + watch("input start, input stop", inside, runs="on"))
    assert buttons(found) == {"start": "start", "stop": "stop"}


def test_a_counter_behind_a_latch_has_the_buttons_too(read: Any) -> None:
    found = read(
        "module tally(input clk, input rst, input go, input halt, output reg [3:0] q);\n reg run;\n"
        + level("go", "halt")
        + "\n always @(posedge clk) if (rst) q <= 0; else if (run) q <= q == 9 ? 0 : q + 1;\nendmodule\n"
    )
    assert isinstance(found, Proposal)
    assert found.model == "counter"
    assert buttons(found) == {"start": "go", "stop": "halt"}
