from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from verify.cli.skeleton import skeleton_of
from verify.design.read import read_design

EXAMPLES = sorted((Path(__file__).parents[2] / "rtl_examples").glob("*/rtl/*.v"))


def skeleton(tmp_path, source, name="timer.v"):
    file = tmp_path / name
    file.write_text(source)
    design = read_design([file])
    return skeleton_of(design.modules[design.tops[0]], [Path(name)])


def test_what_the_source_says_is_filled_in(tmp_path):
    text = skeleton(
        tmp_path,
        "module timer #(parameter CLK_HZ = 12000000) (input clk, input rst_n, input en,"
        " output reg [5:0] sec); always @(posedge clk or negedge rst_n) if (!rst_n) sec <= 0;"
        " else if (en) sec <= sec + 1; endmodule",
    )
    found = tomllib.loads(text)
    assert found["design"] == {"sources": ["timer.v"], "top": "timer"}
    assert found["clock"] == {"port": "clk"}
    assert found["reset"] == {"port": "rst_n", "active": "low"}
    assert '# parameter = "CLK_HZ"  # if it carries the clock frequency, 12000000 in the source' in text
    assert '# ROLE = "en"  # input, 1 bit' in text
    assert '# ROLE = "sec"  # output, 6 bits' in text
    assert "clk" not in text.split("[check.ports]")[1]


@pytest.mark.parametrize(
    ("port", "active"),
    [
        ("rst", "high"),
        ("reset", "high"),
        ("nrst", "low"),
        ("resetn", "low"),
        ("aresetn", "low"),
        ("clr_n", "low"),
    ],
)
def test_a_reset_is_known_by_its_name(tmp_path, port, active):
    source = f"module t(input clk, input {port}, output reg q);"
    source += f" always @(posedge clk) if ({port}) q <= 0; else q <= ~q; endmodule"
    assert tomllib.loads(skeleton(tmp_path, source))["reset"] == {"port": port, "active": active}


def test_logic_without_a_clock_gets_no_clock_table(tmp_path):
    text = skeleton(tmp_path, "module t(input [3:0] d, output [6:0] s); assign s = {3'b0, d}; endmodule")
    assert "clock" not in tomllib.loads(text)
    assert "reset" not in tomllib.loads(text)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: f"{file.parts[-3]}/{file.name}")
def test_every_example_gets_a_skeleton_that_is_toml(file):
    design = read_design(sorted(file.parent.glob("*.v")))
    for module in design.modules.values():
        found = tomllib.loads(skeleton_of(module, [file]))
        assert found["design"]["top"] == module.name
        assert found["check"]


def test_verilog_of_which_the_number_of_states_is_open_is_asked_about(everyedge, tmp_path):
    (tmp_path / "t.v").write_text(
        "module t(input clk, input rst, output reg [3:0] q);\n"
        "always @(posedge clk) if (rst) q <= 0; else if (q == 10) q <= 0; else q <= q + 1;\nendmodule\n"
    )
    told = everyedge("check", "t.v")
    assert told.status == 2
    assert "t.v:2:" in told.err
    assert "how many states does q have?" in told.err
    assert "expect = { modulo = 11 }" in told.err
    assert "expect = { modulo = 10 }" in told.err


def test_verilog_that_speaks_for_itself_is_checked_without_a_bench(everyedge, tmp_path):
    (tmp_path / "t.v").write_text(
        "module mod10_counter(input clk, input rst, output reg [3:0] q);\n"
        "always @(posedge clk) if (rst) q <= 0; else if (q == 9) q <= 0; else q <= q + 1;\nendmodule\n"
    )
    words = ("--json", "result.json", "--html", "page.html", "--junit", "result.xml")
    told = everyedge("check", "t.v", *words)
    assert told.status == 0
    assert "mod10_counter is taken for a counter" in told.out
    assert "inferred" in (tmp_path / "page.html").read_text()
    assert "mod10_counter" in (tmp_path / "result.xml").read_text()
    (check,) = json.loads((tmp_path / "result.json").read_text())["checks"]
    assert check["inferred"]["expect.modulo"] == {
        "why": "the name mod10_counter says 10 states",
        "file": "t.v",
        "line": 1,
    }


def test_verilog_that_does_not_compile_is_told_by_its_line(everyedge, tmp_path):
    (tmp_path / "t.v").write_text(
        "module t(input clk, output reg q);\n  always @(posedge clk q <= ~q;\nendmodule\n"
    )
    told = everyedge("check", "t.v")
    assert told.status == 2
    assert "t.v:2:" in told.err
    assert "^" in told.err
    assert told.out == ""
