"""Files as people have them: any encoding, any order, old and new keywords, repeats and includes."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.errors import DesignError

OLD = "module m(input bit, output byte); wire do; assign do = bit; assign byte = do; endmodule\n"
NEW = "module m(input logic bit_in, output logic y); always_comb y = bit_in; endmodule\n"


def test_words_reserved_since_systemverilog_are_names_in_an_old_file(read):
    design = read({"m.v": OLD})
    assert [port.name for port in design.modules["m"].ports] == ["bit", "byte"]
    assert design.verilog_2005 == (Path("m.v"),)


@pytest.mark.parametrize("name", ["m.v", "m.sv", "m.vh"])
def test_systemverilog_is_read_whatever_the_file_is_called(read, name):
    assert read({name: NEW}).verilog_2005 == ()


def test_old_and_new_files_go_together(read):
    top = "module top(input logic a, output logic y); m u(a, y); endmodule\n"
    assert read({"m.v": OLD, "top.sv": top}, top="top").verilog_2005 == (Path("m.v"),)


def test_places_in_an_old_file_are_true(read):
    design = read({"m.v": OLD})
    place = design.modules["m"].port("byte").drivers[0]
    assert place.source[place.column - 1 :].startswith("byte = do")


@pytest.mark.parametrize(
    "text",
    [
        "module m(input clk, output y); assign y = t; wire t; assign t = clk; endmodule",
        "module m(input clk, output [3:0] y); assign y = LAST; localparam LAST = 9; endmodule",
        "module m(a, y); input [W-1:0] a; output y; parameter W = 4; assign y = a; endmodule",
        "module m(input a, output y); assign t = a; assign y = t; endmodule",
        "module m(input a, output reg y); reg y; always @* y = a; endmodule",
        "module m(input a, output y);\n`timescale 1ns/1ps\nassign y = a; endmodule",
        "module m(input c, output reg y); always @(posedge c) y <= 0; always @(posedge c) y <= 1; endmodule",
        "module m(input c, output reg y); initial y = 0; always_ff @(posedge c) y <= ~y; endmodule",
        'module m(input a, output y); initial $display("%d %d", a); assign y = a; endmodule',
        "module m(input a, output y); initial $unknown_task(a); assign y = a; endmodule",
        "module m(input a, output y); genvar i; for (i = 0; i < 1; i = i + 1) assign y = a; endmodule",
        "module m(input a, output y); assign y = a; specify (a => y) = 1; endspecify endmodule",
        "`default_nettype none\nmodule m(input a, output y); assign y = a; endmodule",
        "module m(input c, output reg [1:0] q); typedef enum logic [1:0] {A, B} t; t s;"
        " always @(posedge c) begin s <= s + 1; q <= s; end endmodule",
    ],
)
def test_what_simulators_accept_is_accepted(read, text):
    assert read(text + "\n", top="m").tops == ("m",)


@pytest.mark.parametrize(
    "raw", [b"// caf\xe9\n", b"\xef\xbb\xbf", b"// \xff\xfe\r\n", "// Größe → 1\n".encode()]
)
def test_comments_may_be_in_any_encoding(read, raw):
    assert read({"m.v": raw + b"module m(output y);\r\n assign y = 1; endmodule\r\n"}).tops == ("m",)


def test_paths_may_hold_spaces_and_any_letters(read):
    name = "my désign/ö (1).v"
    design = read(
        {
            name: '`include "größe.vh"\nmodule m(output y); assign y = `ON; endmodule\n',
            "my désign/größe.vh": "`define ON 1\n",
        },
        sources=[name],
    )
    assert design.sources == (Path(name),)
    assert str(design.modules["m"].place) == f"{name}:2:8"


def test_includes_guards_and_defines_reach_every_file(read):
    files = {
        "a.v": '`include "w.vh"\n`include "w.vh"\nmodule a(output [`W-1:0] y); assign y = 0; endmodule\n',
        "b.v": "`ifdef FAST\nmodule b(output [`W*`FAST-1:0] y); assign y = 0; endmodule\n`endif\n",
        "inc/w.vh": "`ifndef W_VH\n`define W_VH\n`define W 5\n`endif\n",
    }
    sources = ["a.v", "b.v"]
    design = read(files, sources=sources, include=["inc"], defines={"FAST": "2"})
    assert design.modules["a"].port("y").width == 5
    assert design.modules["b"].port("y").width == 10  # macros carry over, as in the simulators
    assert set(read(files, sources=sources, include=["inc"]).modules) == {"a"}


def test_an_error_in_an_included_file_has_its_place_there(read):
    files = {"m.v": '`include "part.vh"\nmodule m; endmodule\n', "part.vh": "\nmodule x(input a; endmodule\n"}
    with pytest.raises(Exception, match="expected") as caught:
        read(files, sources=["m.v"])
    assert (caught.value.place.file.name, caught.value.place.line) == ("part.vh", 2)


@pytest.mark.parametrize("order", [["low.v", "top.v"], ["top.v", "low.v"]])
def test_a_file_that_another_includes_is_compiled_once(read, order):
    files = {
        "low.v": "module low(output y); assign y = 1; endmodule\n",
        "top.v": '`include "low.v"\nmodule top(output y); low u(y); endmodule\n',
    }
    design = read(files, sources=order)
    assert design.sources == (Path("top.v"),)
    assert set(design.modules) == {"low", "top"}


def test_a_file_given_twice_or_copied_word_for_word_is_compiled_once(read):
    text = "module low(output y); assign y = 1; endmodule\n"
    files = {"low.v": text, "copy/low.v": text.replace(" ", "  "), "m.v": "module m; endmodule\n"}
    design = read(files, sources=["low.v", "./low.v", "copy/low.v", "m.v"])
    assert design.sources == (Path("low.v"), Path("m.v"))


@pytest.mark.parametrize(
    "name", ["/etc/passwd", "../../../../../../../../../etc/passwd", "/dev/null", "/proc/self/environ"]
)
@pytest.mark.parametrize("by_macro", [False, True])
def test_an_include_that_leaves_the_design_is_refused_where_it_stands(read, name, by_macro):
    line = f'`define F "{name}"\n`include `F\n' if by_macro else f'\n`include "{name}"\n'
    with pytest.raises(DesignError, match="is outside the folders of the design") as raised:
        read({"m.v": f"{line}module m; endmodule\n"})
    assert raised.value.place.line == 2


def test_an_include_beside_above_or_in_a_named_folder_is_read(read, tmp_path):
    (tmp_path / "far" / "away").mkdir(parents=True)
    (tmp_path / "far" / "away" / "far.vh").write_text("`define C 1'b1\n")
    files = {
        "rtl/m.v": '`include "near.vh"\n`include "../common/up.vh"\n`include "far.vh"\n'
        "module m(output [2:0] y); assign y = {`A, `B, `C}; endmodule\n",
        "rtl/near.vh": "`define A 1'b1\n",
        "common/up.vh": "`define B 1'b1\n",
    }
    assert set(read(files, sources=["rtl/m.v"], include=[tmp_path / "far" / "away"]).modules) == {"m"}


def test_a_link_out_of_the_design_counts_as_what_it_leads_to(read, tmp_path):
    (tmp_path / "rtl").mkdir()
    (tmp_path / "rtl" / "near.vh").symlink_to("/etc/hosts")
    with pytest.raises(DesignError, match="`include of /etc/hosts is refused"):
        read({"rtl/m.v": '`include "near.vh"\nmodule m; endmodule\n'})
