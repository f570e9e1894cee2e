"""Numbers are found where they stand, and others are written in their place."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from verify.design.places import Place
from verify.design.sources import Dialect
from verify.design.written_numbers import WrittenNumber, texts_with, written_numbers

TEXT = """// é 1000
`define MAX 25_000_000
`define SUM(a) (a + 12)
module m #(parameter N = 32'd50_000_000)(input clk, output reg [25:0] q);
 localparam K = 26'h2FAF080, B = 8'b1x0, S = "1000"; /* 1000 */
 always @(posedge clk) if (q == `MAX - 1) q <= 'so17; else if (q == 26 'd 49999999) q <= `MAX + `SUM(77);
endmodule
"""


def numbers(folder: Path, text: str = TEXT) -> tuple[WrittenNumber, ...]:
    (folder / "m.v").write_text(text, encoding="utf-8")
    return written_numbers([folder / "m.v"], Dialect())


def test_every_number_is_found_once_with_its_value_and_line(tmp_path: Path) -> None:
    found = [(n.text, n.value, n.place.line) for n in numbers(tmp_path) if n.value > 10]
    assert found == [
        ("25_000_000", 25_000_000, 2),
        ("12", 12, 3),
        ("32'd50_000_000", 50_000_000, 4),
        ("25", 25, 4),
        ("26'h2FAF080", 50_000_000, 5),
        ("'so17", 15, 6),
        ("26 'd 49999999", 49_999_999, 6),
        ("77", 77, 6),
    ]


def test_others_in_their_place_leave_all_else_as_it_is(tmp_path: Path) -> None:
    large = [n for n in numbers(tmp_path) if n.value > 1000]
    ((file, text),) = texts_with({n: n.value // 1000 for n in large})
    assert file == tmp_path / "m.v"
    assert text == (
        TEXT.replace("25_000_000", "25000")
        .replace("50_000_000", "50000")
        .replace("2FAF080", "c350")
        .replace("26 'd 49999999", "26 'd49999")
    )


def test_a_file_in_an_old_encoding_with_a_keyword_as_a_name_is_edited_in_the_right_place(
    tmp_path: Path,
) -> None:
    text = "// \xe9\nmodule m(output [9:0] bit); assign bit = 10'd777; endmodule\n"
    (tmp_path / "m.v").write_bytes(text.encode("latin-1"))
    (number,) = (n for n in written_numbers([tmp_path / "m.v"], Dialect()) if n.value == 777)
    ((_, edited),) = texts_with({number: 5})
    assert edited == text.replace("777", "5")


@given(st.integers(0, 1 << 26), st.sampled_from(["26'd0", "26'h0", "26'sb0", "0", "'O0"]))
def test_a_number_reads_back_as_what_was_written(value: int, text: str) -> None:
    written = WrittenNumber(Path("m.v"), 0, len(text), text, 0, Place(Path("m.v"))).written_as(value)
    digits = written.rpartition("'")[2].lower().removeprefix("s")
    base = {"d": 10, "h": 16, "b": 2, "o": 8}.get(digits[0], 0)
    assert (int(digits[1:], base) if base else int(digits)) == value
