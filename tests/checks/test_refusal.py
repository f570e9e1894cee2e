"""A refusal says what, where, why, and how its owner has the design run all the same."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_verdicts import PORTS, dial

from verify.checks import Settings, check_bench
from verify.errors import DesignError
from verify.results import Verdict

ENDS = "  always @(q) if (q == 12) $finish;\nendmodule"


def test_a_refusal_has_a_place_and_says_how_to_allow_it(check) -> None:
    with pytest.raises(DesignError, match=r"^\$finish is refused: it ends the simulation$") as raised:
        check(dial().replace("endmodule", ENDS), "counter", PORTS, expect="modulo = 10")
    place = raised.value.place
    assert place is not None
    assert (place.file.name, place.line, place.column) == ("design.v", 4, 28)
    assert '--allow finish, or allow = ["finish"] under [design]' in str(raised.value.advice)


@pytest.mark.parametrize("word", ["finish", "$finish", "FINISH"])
def test_what_is_allowed_runs(check, word: str) -> None:
    settings = Settings(examples=5, allow=(word,))
    result = check(
        dial().replace("endmodule", ENDS), "counter", PORTS, expect="modulo = 10", settings=settings
    )
    assert result.verdict is Verdict.PASS, result.reason


def test_a_bench_can_allow_it(check, tmp_path: Path) -> None:
    design = dial().replace("endmodule", ENDS)
    with pytest.raises(DesignError, match="is refused"):
        check(design, "counter", PORTS, expect="modulo = 10")
    bench = tmp_path / "bench.toml"
    text = bench.read_text().replace("[clock]", 'allow = ["finish"]\n[clock]')
    bench.write_text(text)
    assert check_bench(bench, Settings(examples=5)).verdict is Verdict.PASS


def test_all_that_is_refused_is_told_at_once(check) -> None:
    bad = '  initial begin $system("true"); #700 $fwrite(1, "x"); end\nendmodule'
    with pytest.raises(DesignError, match=r"\$system is refused") as raised:
        check(dial().replace("endmodule", bad), "counter", PORTS, expect="modulo = 10")
    assert "design.v:4:39: $fwrite" in raised.value.message


SCALED = """
module beat(input clk, input rst, output reg t);
  parameter CLK_HZ = 12000000;
  reg [23:0] n;
  always @(posedge clk) if (rst) begin n <= 0; t <= 0; end
    else begin n <= n == CLK_HZ - 1 ? 0 : n + 1; t <= n == CLK_HZ - 1; end
  generate if (CLK_HZ {condition}) begin : odd always @(t) if (t) $finish; end endgenerate
endmodule
"""


@pytest.mark.parametrize(("condition", "refused"), [("< 100000", True), ("> 12000000", False)])
def test_what_only_a_speed_up_brings_in_is_refused_too(check, condition: str, refused: bool) -> None:
    clock = 'port = "clk"\nfrequency = 12000000\nparameter = "CLK_HZ"'
    design = SCALED.replace("{condition}", condition)
    if refused:
        with pytest.raises(DesignError, match=r"\$finish is refused"):
            check(design, "divider", 'tick = "t"', clock=clock)
    else:
        assert check(design, "divider", 'tick = "t"', clock=clock).verdict is Verdict.PASS


READS = """module dial(input clk, input [3:0] d, output reg [6:0] s);
reg [6:0] rom [0:15];
initial $readmemh("glyphs.hex", rom);
always @(posedge clk) s <= rom[d];
endmodule
"""
GLYPHS = "3f 06 5b 4f 66 6d 7d 07 7f 6f 00 00 00 00 00 00"


def test_a_memory_whose_file_is_missing_is_told_with_its_place(check, tmp_path: Path) -> None:
    with pytest.raises(
        DesignError, match=r'^\$readmemh reads "glyphs.hex", and there is no such file'
    ) as raised:
        check(READS, "segments", 'digit = "d", segments = "s"', reset="")
    place = raised.value.place
    assert place is not None
    assert (place.file.name, place.line) == ("design.v", 3)
    assert "put the file there, or correct its name" in str(raised.value.advice)
    (tmp_path / "glyphs.hex").write_text(GLYPHS, encoding="utf-8")
    assert check(READS, "segments", 'digit = "d", segments = "s"', reset="").verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("named", "verdict"), [("rtl/glyphs.hex", Verdict.PASS), ("rtl/others.hex", Verdict.FAIL)]
)
def test_a_file_may_be_named_from_the_root_of_a_project(tmp_path: Path, named: str, verdict: Verdict) -> None:
    for folder in ("rtl", "bench"):
        (tmp_path / folder).mkdir()
    (tmp_path / "rtl" / "rom.v").write_text(READS.replace("glyphs.hex", named))
    (tmp_path / "rtl" / "glyphs.hex").write_text(GLYPHS)
    (tmp_path / "rtl" / "others.hex").write_text(GLYPHS.replace("6d", "5d"))
    bench = tmp_path / "bench" / "bench.toml"
    bench.write_text(
        '[design]\nsources = ["../rtl/rom.v"]\n[clock]\nport = "clk"\n'
        '[[check]]\nmodel = "segments"\nports = { digit = "d", segments = "s" }\n'
    )
    (result,) = check_bench(bench, Settings(examples=5, explain_seconds=0)).checks
    assert result.verdict is verdict, result.reason
