"""Each sort of fault is made where it can be, and nowhere else."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from verify.bench import load_bench
from verify.strength.collecting import mutations_of

HEAD = "module m(input clk, input rst, input [3:0] a, b, output reg [3:0] y);\n"
ENDS = "\nendmodule\nmodule inner(input c, d, output e); assign e = c; endmodule\n"

MADE = {
    "assign w = a + b;": {"operator": ["assign w = a - b;"]},
    "assign w = a < b;": {"comparison": ["assign w = a <= b;", "assign w = a >= b;"]},
    "assign w = ~a;": {"operator": ["assign w = a;"]},
    "assign w = 4'd0;": {"constant": ["assign w = 4'd1;"]},
    "assign w = 4'hf;": {"constant": ["assign w = 4'he;"]},
    "assign w = 7;": {"constant": ["assign w = 8;", "assign w = 6;"]},
    "assign w = a[2];": {"constant": ["assign w = a[3];", "assign w = a[1];"]},
    "assign w = {a, b};": {"bits": ["assign w = {b, a};"]},
    "reg [4:0] r;": {"width": ["reg [3:0] r;"]},
    "inner u (.c(clk), .d(rst));": {"ports": ["inner u (.c(rst), .d(clk));"]},
    "inner u (clk, rst, );": {"ports": ["inner u (rst, clk, );"]},
    "assign w = rst ? a : b;": {
        "condition": ["assign w = (!(rst)) ? a : b;"],
        "branch": ["assign w = (a);", "assign w = (b);"],
    },
    "always @(posedge clk) y <= a;": {
        "edge": ["always @(negedge clk) y <= a;"],
        "blocking": ["always @(posedge clk) y = a;"],
        "statement": ["always @(posedge clk) ;"],
    },
    "always @(posedge clk or posedge rst) ;": {
        "event": ["always @(posedge clk) ;", "always @(posedge rst) ;"],
        "edge": ["always @(negedge clk or posedge rst) ;", "always @(posedge clk or negedge rst) ;"],
    },
    "always @* if (rst) ;": {
        "condition": ["always @* if (!(rst)) ;"],
        "branch": ["always @* if (1'b0) ;", "always @* if (1'b1) ;"],
    },
    "always @* case (a) 1: ; default: ; endcase": {
        "branch": ["always @* case (a)  default: ; endcase", "always @* case (a) 1: ;  endcase"],
        "constant": [
            "always @* case (a) 2: ; default: ; endcase",
            "always @* case (a) 0: ; default: ; endcase",
        ],
    },
}
NOT_MADE = [
    "// a + 1",
    "assign w = a;",
    "always @* assert (a == 1);",
    "(* mark = 1 *) wire v;",
    "assign w = `SUM;",
    "input_declared_above u ();",
]


def made(bench, text: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for mutation in mutations_of(bench):
        if mutation.line == 3:
            found.setdefault(mutation.kind, []).append(mutation.new)
    return found


def bench_for(bench_of, text: str):
    above = "`define SUM a + 1\n"
    more = "module input_declared_above; endmodule\n"
    path = bench_of(above + HEAD + text + ENDS + more, "bcd", 'binary = "a", bcd = "y"', "digits = 1")
    return load_bench(path)


@pytest.mark.parametrize("text", MADE)
def test_a_fault_is_made_in_every_way_there_is(bench_of, text: str) -> None:
    assert made(bench_for(bench_of, text), text) == MADE[text]


@pytest.mark.parametrize("text", NOT_MADE)
def test_nothing_is_made_of_what_is_no_logic(bench_of, text: str) -> None:
    assert made(bench_for(bench_of, text), text) == {}


def test_only_what_the_bench_checks_is_changed(bench_of) -> None:
    bench = load_bench(bench_of(HEAD + "assign w = a;" + ENDS + "module other; wire v = 1; endmodule"))
    files = {mutation.new for mutation in mutations_of(bench)}
    assert not any("wire v" in new for new in files)


@given(st.text("µé中 abc\t", max_size=12))
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_mutation_changes_its_own_place_and_nothing_else(bench_of, comment: str) -> None:
    text = f"/* {comment} */ assign w = a + b; // {comment}"
    bench = load_bench(bench_of(HEAD + text + ENDS))
    whole = bench.files[0].read_text(encoding="utf-8")
    (mutation,) = [m for m in mutations_of(bench) if m.kind == "operator"]
    assert mutation.of(whole) == whole.replace("a + b", "a - b")
    assert (mutation.old, mutation.new) == (text.strip(), text.strip().replace("+", "-"))
