"""Errors of a design: file, line and column, what is wrong, the line itself, and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.design import read_design
from verify.errors import DesignError


def _error(read, files, **options) -> DesignError:
    with pytest.raises(DesignError, match=r"\S") as caught:
        read(files, **options)
    return caught.value


def test_a_syntax_error_has_its_place_and_line(read):
    error = _error(read, {"counter.v": "module m(input a, output y);\n  assign y = a +;\nendmodule\n"})
    assert str(error.place) == "counter.v:2:17"
    assert error.place.source == "  assign y = a +;"
    assert error.message == "expected expression"


def test_further_errors_follow_the_first_up_to_five(read):
    text = "module m(output y);\n" + "".join(f"  assign y = nowhere{n};\n" for n in range(9)) + "endmodule\n"
    error = _error(read, "`default_nettype none\n" + text)
    first, *others = error.message.splitlines()
    assert first == "use of undeclared identifier 'nowhere0'"
    assert others[0] == "further errors:"
    assert others[1] == "  d.sv:4:14: use of undeclared identifier 'nowhere1'"
    assert len(others) == 7
    assert others[-1] == "  and 3 more"


def test_the_column_counts_characters(read):
    error = _error(read, "module m(output y); /* é → ü */ assign y = ; endmodule\n")
    assert error.place.source[error.place.column - 1 :].startswith(";")


def test_a_missing_module_is_named_with_what_to_do(read):
    text = "module m(input a, output y);\n  CHIP_BUFFER b(.I(a), .O(y));\nendmodule\n"
    error = _error(read, text)
    assert error.message == "module 'CHIP_BUFFER' is not in any of the files"
    assert str(error.place) == "d.sv:2:3"
    assert "simulation model" in error.advice


def test_a_missing_module_outside_the_requested_top_does_not_matter(read):
    text = """
    module clean(input a, output y); assign y = ~a; endmodule
    module board(input a, output y); CHIP_BUFFER b(a, y); clean c(a, ); endmodule
    """
    design = read(text, top="clean")
    assert set(design.modules) == {"clean"}
    assert "CHIP_BUFFER" in design.broken["board"].message
    with pytest.raises(DesignError, match="CHIP_BUFFER"):
        read(text, top="board")


def test_a_test_fixture_among_the_files_does_not_matter(read):
    text = "module m(input a, output y); assign y = a; endmodule\n"
    fixture = "module fixture; reg a; wire y; m u(a, y); initial #1 a = other.nowhere; endmodule\n"
    assert read({"m.v": text, "fixture.v": fixture}, top="m").modules["m"].unsafe == ()


def test_a_top_that_is_not_there_gets_the_nearest_name(read):
    error = _error(read, "module exposure_timer; endmodule\nmodule led; endmodule\n", top="exposure_timr")
    assert error.message == 'there is no module "exposure_timr" in the files; they hold exposure_timer, led'
    assert error.advice == 'did you mean "exposure_timer"?'


def test_an_include_that_is_not_found_says_where_to_add_the_folder(read):
    error = _error(read, '`include "widths.vh"\nmodule m; endmodule\n')
    assert "'widths.vh'" in error.message
    assert error.advice == "add the folder of the included file to `include`"


def test_an_undefined_macro_in_an_expression_is_an_error_and_an_unknown_directive_is_not(read):
    error = _error(read, "module m(output [3:0] y);\n  assign y = `LIMIT;\nendmodule\n")
    assert error.message.startswith("unknown macro or compiler directive '`LIMIT'\n")
    assert error.place.line == 2
    assert "defines" in error.advice
    assert read("`maker_says_so\nmodule m(output y); assign y = 1; endmodule\n").tops == ("m",)


@pytest.mark.parametrize("text", ["", "\n\n// nothing\n", "`define A 1\n"])
def test_files_without_a_module_are_refused(read, text):
    assert _error(read, {"empty.v": text}).message == "no module in empty.v"


def test_one_empty_file_among_others_does_not_matter(read):
    assert read({"empty.v": "", "m.v": "module m; endmodule\n"}).tops == ("m",)


def test_no_files_at_all_are_refused():
    with pytest.raises(DesignError, match="no Verilog files were given"):
        read_design([])


def test_a_missing_file_and_a_folder_are_refused_by_name(tmp_path: Path):
    with pytest.raises(DesignError, match=r"no such file: .*gone\.v"):
        read_design([tmp_path / "gone.v"])
    with pytest.raises(DesignError, match="is a folder, not a Verilog file") as caught:
        read_design([tmp_path])
    assert "*.v" in caught.value.advice


def test_bytes_that_are_no_source_are_an_error_and_not_a_crash(read):
    assert "NUL" in _error(read, {"blob.v": bytes(range(256)) * 20}).message


def test_two_different_modules_of_one_name_are_refused_with_both_places(read):
    files = {"a.v": "module m(input a); endmodule\n", "b.v": "\nmodule m(input b); endmodule\n"}
    error = _error(read, files)
    assert error.message == "'m' is defined twice, first in a.v:1:8"
    assert str(error.place) == "b.v:2:8"


@pytest.mark.parametrize(
    "text",
    [
        "(" * 20_000,
        "begin " * 20_000,
        "module m(output y); assign y = " + "(" * 20_000,
        "module m(output reg y); always @* " + "if (y) y = 0; else " * 20_000 + "y = 0; endmodule\n",
        '`include "d.sv"\n',
    ],
)
def test_bottomless_nesting_is_an_error_and_not_a_crash(read, text):
    assert _error(read, text).message


def test_a_long_sum_is_read_whole(read):
    text = f"module m(input [7:0] a, output [7:0] y);\n  assign y = {' + '.join(['a'] * 3000)};\nendmodule\n"
    assert read(text).modules["m"].port("y").drivers[0].line == 2


def test_an_endless_constant_function_is_an_error(read):
    text = """
    module m(output [F-1:0] y);
      function integer f(input integer x); begin f = 0; while (x < 5) f = f + 1; end endfunction
      localparam F = f(1);
    endmodule
    """
    assert _error(read, text, top="m").place.line is not None
