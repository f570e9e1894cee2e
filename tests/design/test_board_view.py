"""What synthesis would read differently is found, unless no circuit comes of the difference."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.design.board_view import unlike_on_board

MODULE = "module m (input c, d, output reg q, output w);\n  always @(posedge c) q <= d;\n{}\nendmodule\n"

UNLIKE = {
    "another assignment": "`ifdef SYNTHESIS\n  assign w = q;\n`else\n  assign w = d;\n`endif",
    "only simulated": "`ifndef SYNTHESIS\n  assign w = d;\n`endif",
    "only on the board": "`ifdef SYNTHESIS\n  assign w = d;\n`endif",
    "skipped by synthesis": "  // synthesis translate_off\n  assign w = d;\n  // synthesis translate_on",
    "skipped to the end": "  assign w = d\n  /* pragma translate_off */ | q\n  ;",
    "acts by time": "`ifndef SYNTHESIS\n  initial begin #5 q = 1; end\n`endif",
    "inside a block": "  always @* begin\n`ifndef SYNTHESIS\n w = 1;\n`else\n w = d;\n`endif\n end",
    "through a macro": "`define GLUE(a, b) a``b\n`ifdef SYNTHESIS\n assign w = d;\n`endif",
}
LIKE = {
    "prints": '`ifndef SYNTHESIS\n  always @(q) if (q) $display("q");\n  initial $monitor(q);\n`endif',
    "presets": "`ifndef SYNTHESIS\n  initial q = 0;\n`endif",
    "asserts": "`ifndef SYNTHESIS\n  assert property (@(posedge c) d);\n`endif",
    "prints inside a block": '  always @(d) begin\n`ifndef SYNTHESIS\n $display("d");\n`endif\n end',
    "comments": "`ifdef SYNTHESIS\n  // keep\n`else\n  // drop\n`endif\n  assign w = d;",
    "another macro": "`ifdef SIMULATION\n  assign w = d;\n`endif",
}


def found(folder: Path, text: str, defines: dict[str, str] | None = None):
    file = folder / "m.sv"
    file.write_text(MODULE.format(text), encoding="utf-8")
    return unlike_on_board([file], [folder], defines or {})


@pytest.mark.parametrize("text", UNLIKE.values(), ids=UNLIKE)
def test_another_circuit_is_found_with_its_place(tmp_path: Path, text: str) -> None:
    (construct,) = found(tmp_path, text)
    assert construct.place.line is not None
    assert construct.word == "synthesis"


@pytest.mark.parametrize("text", LIKE.values(), ids=LIKE)
def test_what_makes_no_circuit_may_differ(tmp_path: Path, text: str) -> None:
    assert found(tmp_path, text) == ()


def test_a_bench_that_checks_what_synthesis_reads_is_left_alone(tmp_path: Path) -> None:
    assert found(tmp_path, UNLIKE["another assignment"], {"SYNTHESIS": "1"}) == ()


def test_an_included_file_is_looked_at_too(tmp_path: Path) -> None:
    (tmp_path / "part.vh").write_text(UNLIKE["only simulated"], encoding="utf-8")
    (construct,) = found(tmp_path, '`include "part.vh"')
    assert construct.place.file.name == "part.vh"
