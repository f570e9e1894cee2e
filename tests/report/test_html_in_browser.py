"""The page in a real browser: no error, no overflow, nothing that keeps anybody out."""

from dataclasses import replace

import numpy as np
import pytest

from tests.report.browsing import browser
from tests.report.specimens import broken_bench, failing, outcome, passing, undecided
from verify.diagnose.shift_rule import ShiftRule
from verify.diagnose.worked.comparison import compared_conversion
from verify.pictures import Axis, CoverageMap, DigitLook, DisplayLook, Driven
from verify.report.html import as_html
from verify.report.outcome import Part
from verify.results import Coverage, Excerpt
from verify.signals import ExpectedTrace, ObservedTrace, Run, Signal, Stimulus, column

WIDTHS = (360, 900, 1600)
SCHEMES = ("light", "dark")


@pytest.fixture(scope="module")
def chromium():
    with browser() as opened:
        yield opened


def numbers():
    """A byte that is one too low in its last clock."""
    signal, cycles = Signal("count", 8), np.arange(3)
    columns = [column(values, 8) for values in ([9, 99, 200], [9, 99, 199])]
    return Excerpt(
        1198,
        Stimulus.of((), [Run(3)]),
        ExpectedTrace((signal,), 3, cycles, (columns[0],)),
        ObservedTrace((signal,), 3, cycles, (columns[1],)),
    )


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """A page with one of everything, long names included."""
    seen = tuple(DigitLook(f"digit_{i}", 1200, 0x6D, 0x7F, 0x66 + i, i) for i in range(8))
    wrong = failing(name="a" * 90, driven=(Driven("whole trip", 1, 14_400, 1),))
    wrong = replace(wrong, failure=replace(wrong.failure, look=DisplayLook(seen, scanned=True)))
    worked = compared_conversion(65244, 16, 5, ShiftRule(threshold=6))
    wrong = replace(wrong, explanations=(replace(wrong.explanations[0], table=worked),))
    field = CoverageMap("times", Axis("s", 60), Axis("m", 60), tuple(i % 3 for i in range(3600)))
    line = CoverageMap("numbers", Axis("binary", 1024, 4), None, tuple(i % 5 for i in range(256)))
    glyphs = CoverageMap("digits", Axis("glyph", 10), None, (1,) * 9 + (0,), (0x3F, 0, *(0x6D,) * 8))
    covered = passing(coverage=Coverage(passing().coverage.items, (field, line, glyphs)))
    whole = outcome(wrong, failing(failure=replace(wrong.failure, excerpt=numbers())), covered, undecided())
    whole = replace(whole, parts=(*whole.parts, Part(whole.parts[0].source, None, broken_bench())))
    path = tmp_path_factory.mktemp("page") / "result.html"
    path.write_text(as_html(whole), encoding="utf-8")
    return path


def opened(chromium, file, width, scheme):
    page = chromium.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    said = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: said.append(request.url) if request.url != file.as_uri() else None)
    page.goto(file.as_uri())
    return page, said


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", WIDTHS)
def test_it_opens_without_a_complaint_a_request_or_a_sideways_scroll(chromium, file, width, scheme):
    page, said = opened(chromium, file, width, scheme)
    assert said == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_an_accessibility_check_finds_nothing(chromium, file, scheme):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    page, _ = opened(chromium, file, 900, scheme)
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    found = axe.Axe().run(page).response["violations"]
    page.close()
    assert {each["id"]: [node["html"][:200] for node in each["nodes"][:3]] for each in found} == {}


def test_numbers_switch_to_hexadecimal_by_the_keyboard(chromium, file):
    page, _ = opened(chromium, file, 900, "light")
    shown = "getComputedStyle(document.querySelector('figure.timing text.{}')).display"
    assert page.evaluate("document.querySelectorAll('figure.timing text.dec').length") > 0
    assert page.evaluate(shown.format("hex")) == "none"
    page.locator("figure.timing .as-dec").first.focus()
    assert page.evaluate(shown.format("dec")) != "none"
    page.keyboard.press("ArrowRight")
    assert page.evaluate(shown.format("hex")) != "none"
    assert page.evaluate(shown.format("dec")) == "none"
    page.close()


def test_dark_and_light_differ(chromium, file):
    grounds = []
    for scheme in SCHEMES:
        page, _ = opened(chromium, file, 900, scheme)
        grounds.append(page.evaluate("getComputedStyle(document.documentElement).backgroundColor"))
        page.close()
    assert len(set(grounds)) == 2


def test_it_prints(chromium, file):
    page, _ = opened(chromium, file, 900, "dark")
    page.emulate_media(media="print")
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert ground == "rgb(252, 251, 247)"
    assert page.pdf(format="A4").startswith(b"%PDF")
    page.close()
