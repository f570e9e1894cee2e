"""Empty modules for those that no file defines."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.design import read_design
from verify.design.stubs import Stub, stub_of, stubs_for
from verify.errors import DesignError

TOP = """module top(input clk_in, input rst, output locked, output reg [3:0] q);
  wire clk, other;
  PLL_ADV #(.MULT(4), .DIV(2)) pll (.CLKIN1(clk_in), .RST(rst), .CLKOUT0(clk), .LOCKED(locked), .SPARE());
  GLUE glue (clk_in, other);
  always @(posedge clk) if (rst) q <= 0; else q <= q + other;
endmodule
"""


@pytest.fixture
def top(tmp_path):
    file = tmp_path / "top.v"
    file.write_text(TOP, encoding="utf-8")
    return file


def test_a_stub_has_the_ports_and_parameters_that_its_instances_name(top, tmp_path):
    stubs = [Stub("PLL_ADV"), Stub("GLUE", "p0")]
    files = stubs_for([top], stubs, tmp_path / "stubs")
    design = read_design([top, *files], top="top")
    ports = {p.name: p.direction for p in read_design(files, lenient=True).modules["PLL_ADV"].ports}
    assert ports == {
        "CLKIN1": "input",
        "RST": "input",
        "CLKOUT0": "output",
        "LOCKED": "output",
        "SPARE": "output",
    }
    assert design.modules["top"].reached_by["locked"] == {"PLL_ADV.LOCKED"}
    assert "PLL_ADV.CLKOUT0" in design.modules["top"].reached_by["q"]
    assert "assign p1 = p0;" in files[1].read_text()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("no name", "found 'no name', expected the name of a module"),
        ("PLL=", "expected the name of a module"),
        ("=I", "expected the name of a module"),
    ],
)
def test_what_is_no_name_of_a_module_is_refused(text, message):
    with pytest.raises(DesignError, match=message):
        stub_of(text)


@pytest.mark.parametrize(
    ("stub", "message"),
    [
        (Stub("top"), "the files define that module"),
        (Stub("DCM"), "nothing instantiates a module of that name"),
        (Stub("GLUE", "I"), "it has no input I"),
    ],
)
def test_a_stub_that_nothing_needs_or_that_cannot_follow_is_an_error(top, tmp_path, stub, message):
    with pytest.raises(DesignError, match=message):
        stubs_for([top], [stub], Path(tmp_path / "stubs"))
