"""Digits above nine that a latch holds are told from a 9 that is drawn for them, and said."""

from __future__ import annotations

from pathlib import Path

import pytest

from verify.checks import Settings, check_verilog
from verify.checks.benchless.inferred import HELD
from verify.results import Verdict

GLYPHS = (0x3F, 0x06, 0x5B, 0x4F, 0x66, 0x6D, 0x7D, 0x07, 0x7F, 0x6F)
ROWS = "".join(f"{digit}: seg = 7'h{glyph:02x}; " for digit, glyph in enumerate(GLYPHS))


@pytest.mark.parametrize(("default", "notes"), [("", (HELD,)), ("default: seg = 7'h6f;", ())])
def test_a_latch_above_nine_is_noted_and_a_drawn_nine_is_not(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, default: str, notes: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    source = (
        "module seg7(input [3:0] digit, output reg [6:0] seg);\n"
        f"always @(digit) case (digit) {ROWS} {default} endcase\nendmodule\n"
    )
    Path("seg7.v").write_text(source, encoding="utf-8")
    (check,) = check_verilog([Path("seg7.v")], Settings(examples=3, cycles_limit=50_000)).checks
    assert check.verdict is Verdict.PASS
    assert [note for note in check.notes if note == HELD] == list(notes)
