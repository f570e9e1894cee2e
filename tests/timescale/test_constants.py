"""The value of a constant, whether the clock is in it, and what is lost on the way."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from pyslang import ast

from verify.simulation.interface import Target
from verify.timescale.bounds import largest
from verify.timescale.constants import Constants
from verify.timescale.locating import Locator
from verify.timescale.opened import OpenedDesign
from verify.timescale.terms import Term
from verify.timescale.wiring import Wiring

HZ = 1000


class Bench:
    """Module ``top`` with the clock parameter ``HZ``, opened at a value of it."""

    def __init__(self, folder: Path, text: str, hz: int = HZ) -> None:
        file = folder / "top.sv"
        ports = "input clk, input [3:0] d, input signed [3:0] n"
        file.write_text(f"module top #(parameter int HZ = {HZ}) ({ports});\n{text}\nendmodule\n")
        design = OpenedDesign(Target((file,), "top", "clk", (), ()))
        elaborated = design.at({"HZ": hz})
        self.body = elaborated.body
        self.wiring = Wiring(self.body)
        self.constants = Constants(elaborated, self.wiring, Locator(design.parsed), {"HZ": HZ})

    def term(self, name: str) -> Term:
        """Of a parameter or a net."""
        found = self.constants.of_symbol(self.body.find(name))
        assert found is not None
        return found


ALIKE = [
    "HZ", "+HZ", "-HZ", "HZ + 7", "7 - HZ", "3 * HZ", "HZ * HZ", "HZ << 2", "HZ >> 3", "HZ >>> 3", "HZ <<< 1",
    "HZ / 8", "8 * HZ / 5", "-HZ / 8", "HZ > 4 ? HZ / 2 : 5", "$signed(HZ) + 1", "int'(HZ / 2.0)",
    "1 - HZ", "(HZ - 1) + 1", "HZ * 3 - HZ", "{4'd0, 12'(HZ)}", "HZ[9:0]",
]  # fmt: skip
"""Calculations of which the form is known."""


@pytest.mark.parametrize("kind", ["localparam int", "wire signed [31:0]"])
@pytest.mark.parametrize("text", ALIKE)
def test_the_form_of_a_calculation_is_right_at_every_scale(text: str, kind: str, tmp_path: Path) -> None:
    native = Bench(tmp_path, f"{kind} X = {text};").term("X")
    assert native.tainted
    assert native.form is not None
    for factor in (1, 2, 5, 10, 25):
        scaled = Bench(tmp_path, f"{kind} X = {text};", HZ // factor).term("X")
        exact = native.form.at(factor)
        assert abs(exact - Fraction(scaled.value)) < 1, factor
        if exact.denominator == 1:
            assert exact == scaled.value
        assert scaled.form == native.form


@pytest.mark.parametrize("kind", ["localparam int", "wire signed [31:0]"])
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("!HZ", 0), ("!(HZ - 1000)", 1), ("~HZ", -1001), ("HZ % 7", 6), ("HZ & 12", 8), ("HZ > 999", 1),
        ("{4'd0, 12'(HZ)}", 1000), ("{1'b1, 12'(HZ)}", 5096), ("HZ[9:0]", 1000), ("HZ[4:0]", 8),
        ("HZ[9:2]", 250), ("HZ[3]", 1), ("{2{4'(HZ)}}", 136), ("$clog2(HZ)", 10), ("f(3)", 1003),
        ("$unsigned(HZ)", 1000), ("1 << HZ[2:0]", 1), ("$rtoi(HZ / 3.0)", 333), ("-HZ / 3", -333),
        ("(0 - HZ) / -3", 333), ("HZ / -3", -333), ("int'(HZ / 16.0)", 63), ("int'(-HZ / 16.0)", -63),
        ("int'(0.0 * HZ)", 0),
    ],
)  # fmt: skip
def test_the_value_of_a_constant_is_that_of_the_language_and_the_clock_is_in_it(
    text: str, value: int, kind: str, tmp_path: Path
) -> None:
    function = "function automatic int f(int a); return a + HZ; endfunction"
    found = Bench(tmp_path, f"{function}\n{kind} X = {text};").term("X")
    assert (found.value, found.tainted) == (value, True)


@pytest.mark.parametrize("text", ["5", "4'b1010 / 3", "$clog2(9)", "{2{2'd1}}", "!5", "-3 / 2"])
def test_a_constant_without_the_clock_scales_with_nothing(text: str, tmp_path: Path) -> None:
    found = Bench(tmp_path, f"localparam int X = {text};").term("X")
    assert not found.tainted
    assert found.steps == ()
    assert found.form is not None
    assert found.form.at(10) == found.value


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("HZ / 3", [("divide", 1000, 333, 1, 32, False)]),
        ("HZ / 8", [("divide", 1000, 125, 0, 32, False)]),
        ("HZ >> 4", [("divide", 1000, 62, 8, 32, False)]),
        ("8'(HZ)", [("truncate", 1000, -24, 0, 8, False)]),  # it is signed, as HZ is
        ("10'(HZ)", [("truncate", 1000, -24, 0, 10, False)]),
        ("11'(HZ)", []),
        ("HZ[7:0]", [("truncate", 1000, 232, 0, 8, True)]),
        ("HZ[9:0]", []),
        ("16'(HZ) * 16'd100", [("overflow", 100_000, 34_464, 0, 16, False)]),
        ("16'(HZ) * 16'd60", []),
        ("HZ / 3 + HZ / 3", [("divide", 1000, 333, 1, 32, False)] * 2),
    ],
)
def test_what_is_lost_in_a_calculation_is_told_with_its_numbers(
    text: str, steps: list[tuple[object, ...]], tmp_path: Path
) -> None:
    found = Bench(tmp_path, f"localparam X = {text};").term("X").steps
    told = [(s.kind, s.before, s.after, s.remainder, s.width, s.selected) for s in found]
    assert told == steps
    assert all(s.place is not None and s.place.line == 2 for s in found)


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        ("d", 15), ("d + 3'd2", 17), ("{d, d}", 255), ("{2'd1, d}", 31), ("d >> 2", 3), ("d << 2", 60),
        ("d / 4'd4", 3), ("d % 4'd6", 5), ("d & 4'd5", 5), ("d | 2'd1", 15), ("2'd1 ^ d", 15),
        ("d * 2'd3", 45),
        ("d[1:0]", 3), ("clk ? 3'd6 : 3'd2", 6), ("clk ? 3'd2 : 3'd6", 6), ("w", 15), ("$unsigned(d)", 15),
        ("$signed(d)", 255), ("8'(d)", 15), ("8'd9", 9), ("v", 7), ("d - 4'd1", 255), ("8'(n)", 255),
        ("(d >> 2) | 6'd0", 3),
    ],
)  # fmt: skip
def test_no_value_is_above_the_bound_and_the_bound_is_no_wider_than_what_is_known(
    text: str, limit: int, tmp_path: Path
) -> None:
    wires = "wire [5:0] w = d; wire [7:0] v = d[2:0];"
    bench = Bench(tmp_path, f"{wires}\nwire [7:0] x; assign x = {text};")
    (assign,) = [s for s in bench.body if isinstance(s, ast.ContinuousAssignSymbol)]
    expression = assign.assignment.right
    assert largest(expression, bench.constants, bench.wiring) == limit
