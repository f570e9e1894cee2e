"""The page as text: what it holds, and what it never does."""

import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.report.specimens import broken_bench, failing, outcome, passing, undecided
from verify.diagnose.shift_rule import ShiftRule
from verify.diagnose.worked.comparison import compared_conversion
from verify.pictures import Axis, Binding, CoverageMap, DigitLook, DisplayLook, Driven, ScanRate
from verify.report.html import as_html
from verify.report.outcome import Outcome, Part
from verify.results import Coverage, Explanation, Fact, RunResult
from verify.signals import Signal

HOSTILE = r"""\foo<script>alert("1")</script>&'` </style>"""
VOID = {"meta", "input", "wbr", "path", "circle"}


class Reader(HTMLParser):
    """Tags opened and closed in order, the words, and every attribute."""

    def __init__(self, text):
        super().__init__()
        self.open, self.attributes, self.tags, self.words = [], [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] not in {"style", "script"}:
            self.words.append(data)


def text_of(reader):
    return " ".join(" ".join(reader.words).split())


def field(reached):
    seconds, minutes = Axis("seconds", 60), Axis("minutes", 60)
    return CoverageMap("minutes and seconds reached", seconds, minutes, tuple(reached))


@pytest.fixture(scope="module")
def page():
    look = DisplayLook((DigitLook("sec_tens", 1200, 0b1101101, 0x7F, 0b1100110, 0),))
    wrong = failing(
        driven=(Driven("whole trip", 1, 14_400, 1),), bindings=(Binding("count", "q", 4, "output"),)
    )
    wrong = replace(wrong, failure=replace(wrong.failure, look=look))
    covered = Coverage(passing().coverage.items, (field(i % 7 > 0 for i in range(3600)),))
    return as_html(outcome(passing(coverage=covered, scan=ScanRate(48.0, 4, 250_000)), wrong, undecided()))


def test_it_is_well_formed_and_every_reference_inside_it_is_met(page):
    reader = Reader(page)
    assert reader.open == []
    ids = [value for _, name, value in reader.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    for tag, name, value in reader.attributes:
        if name == "href":
            assert value.removeprefix("#") in ids, (tag, value)
        if name == "aria-labelledby":
            assert set(value.split()) <= set(ids)


def test_it_loads_nothing_and_runs_nothing(page):
    reader = Reader(page)
    assert not {"script", "link", "img", "iframe", "object", "base"} & set(reader.tags)
    assert not re.search(r"url\((?!#)|@import|//", page.replace("<!--", ""))
    assert not [a for a in reader.attributes if a[1].startswith("on") or a[1] in {"style", "src"}]


def test_its_policy_allows_its_own_style_sheet_and_nothing_else(page):
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL).group(1)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page).group(1)
    assert "default-src 'none'" in policy
    assert f"style-src 'sha256-{digest}'" in policy
    assert "unsafe" not in policy


def test_it_tells_the_worst_first_and_all_that_a_failure_rests_on(page):
    text = text_of(Reader(page))
    assert text.index("display digits") < text.index("flash") < text.index("converter")
    for words in (
        "1 check fails, 1 is undecided, 1 passes",
        "Cycle 1,200",
        "the carry into the tens of seconds is registered once too often",
        "Reproduces every observed cycle.",
        "exposure_clock.v:61:9",
        "sec_tens <= sec_tens + 1'b1;",
        "everyedge replay exposure_timer/.everyedge/replays/display-digits.json",
        "Latency 2 clocks, measured; no output comes later than another (skew 0).",
        'kind = "asynchronous" # in [reset]',
        "expect.digit_modulo = [10, 6]",
        "sec_tens should show 5 (acdfg) and shows 4 (bcfg)",
        "To settle it: pin the latency: latency = 1.",
    ):
        assert words in text, words


def test_it_tells_what_a_pass_does_not_cover(page):
    text = text_of(Reader(page))
    for words in (
        "not compared: busy",
        "held all the time: test_mode = 0",
        "transitions 9,000 65,536 0 to 255",
        "3,085 of 3,600 (85.7 %)",
        "a second at the native ratio was not run",
        "each digit is lit at 48 Hz, all 4 of them in 250,000 clocks: it flickers",
    ):
        assert words in text, words


def test_every_picture_has_a_title_and_a_description(page):
    pictures = re.findall(
        r'<svg class="(?!defs)[^>]*>\s*<title[^>]*>([^<]+)</title><desc[^>]*>([^<]+)<', page
    )
    assert len(pictures) == page.count("<figure ") == 3
    assert page.count('role="img"') == 3


def test_the_conversion_that_a_faulty_rule_spoils_stands_beside_the_right_one():
    worked = compared_conversion(243, 8, 3, ShiftRule(threshold=6))
    page = as_html(outcome(failing(explanations=(Explanation("threshold = 6", "so", True, None, worked),))))
    assert worked.title in page
    assert "<td> 0000 0001+1000</td><td> 0000 0001 0101</td>" in page
    text = text_of(Reader(page))
    for heading in worked.columns:
        assert heading in text
    without = as_html(outcome(failing(explanations=(Explanation("threshold = 6", "so", True),))))
    assert page.count("<table>") == without.count("<table>") + 1
    assert page.count('<tr class="marked">') == without.count('<tr class="marked">') + len(worked.marked)


def test_names_from_outside_are_words_and_never_markup():
    hostile = failing(
        name=HOSTILE,
        module=HOSTILE,
        reason=HOSTILE,
        notes=(HOSTILE,),
        facts=(Fact(HOSTILE, HOSTILE, "measured", HOSTILE),),
        explanations=(Explanation("fault", HOSTILE, False),),
        unchecked_outputs=(Signal(HOSTILE, 1),),
        tied_inputs={HOSTILE: 1},
        bindings=(Binding("count", HOSTILE, 4, "input"),),
        replay=Path(HOSTILE.replace("/", "_")),
    )
    excerpt = replace(hostile.failure.excerpt, ports={"digits[1]": HOSTILE, "enable": HOSTILE})
    mismatch = replace(hostile.failure.mismatch, port=HOSTILE)
    hostile = replace(hostile, failure=replace(hostile.failure, excerpt=excerpt, mismatch=mismatch))
    page = as_html(Outcome((Part(Path(HOSTILE), RunResult((hostile,))),)))
    reader = Reader(page)
    assert reader.open == []
    assert "script" not in reader.tags
    assert page.count("</style>") == 1
    assert " ".join(HOSTILE.split()) in text_of(reader)


def test_a_control_character_or_half_a_character_does_not_get_through():
    page = as_html(outcome(passing(name="a\x00\x1b[31m\udcff", notes=("\x07",))))
    page.encode("utf-8")
    assert not re.search(r"[\x00-\x08\x0b-\x1f\ud800-\udfff]", page)


def test_a_bench_that_cannot_be_checked_shows_its_line_and_what_to_do():
    page = as_html(Outcome((Part(Path("exposure_timer/bench.toml"), None, broken_bench()),)))
    text = text_of(Reader(page))
    assert "exposure_timer/bench.toml:12:11" in text
    assert "did you mean 'binary'?" in text
    assert "ports = { binery =" in text
    assert "! error" in text


def test_a_run_that_was_ended_says_so():
    page = as_html(replace(outcome(passing()), interrupted=True))
    assert "ended before all was checked" in text_of(Reader(page))


def test_a_page_of_thirty_checks_with_ragged_fields_stays_below_a_megabyte():
    ragged = Coverage((), (field((i * 7919) % 3 > 0 for i in range(3600)),))
    checks = [passing(name=f"check {i}", coverage=ragged) for i in range(15)]
    checks += [failing(name=f"failing {i}") for i in range(15)]
    assert len(as_html(outcome(*checks)).encode()) < 1_000_000
