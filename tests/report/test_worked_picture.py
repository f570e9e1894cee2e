import xml.etree.ElementTree as ET
from fractions import Fraction

import pytest

from verify.diagnose.worked import worked_conversion, worked_digit, worked_division, worked_stages
from verify.report.worked import sheet_lines, sheet_svg

SHEETS = {
    "conversion": worked_conversion(243, width=8),
    "wide": worked_conversion((1 << 200) - 1),
    "digit": worked_digit(6, active_low=True),
    "divider": worked_division(clock_hz=Fraction(12_000_000)),
    "square": worked_division(ratio=7, square=True),
    "stages": worked_stages(359_999, clock_hz=12_000_000),
    "many stages": worked_stages(10**14, modulo=(999_999,) * 8),
}


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_the_terminal(name, width):
    assert max(len(text.plain) for text in sheet_lines(SHEETS[name], width)) <= width


@pytest.mark.parametrize("name", SHEETS)
def test_a_picture_says_in_words_what_it_shows(name):
    sheet = SHEETS[name]
    root = ET.fromstring(sheet_svg(sheet))
    space = "{http://www.w3.org/2000/svg}"
    assert root.get("role") == "img"
    assert root.findtext(f"{space}title") == sheet.title
    words = root.findtext(f"{space}desc")
    assert all(cell.strip() in words for row in sheet.rows for cell in row.cells)


def test_a_picture_has_colours_for_a_light_and_a_dark_page():
    assert "prefers-color-scheme: dark" in sheet_svg(SHEETS["digit"])


def test_a_drawn_digit_lights_its_segments():
    assert sheet_svg(SHEETS["digit"]).count('class="lit"') == 6
