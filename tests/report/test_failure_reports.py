"""Whole reports as they appear, kept beside this file; UPDATE_SNAPSHOTS=1 rewrites them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from specimens import broken_bench, failing, outcome, passing, undecided

from verify.report.look import ascii_only
from verify.report.outcome import Outcome, Part
from verify.report.story import outcome_lines
from verify.report.trouble import error_lines
from verify.results import Failure, Mismatch, Speedup, Verdict

SNAPSHOTS = Path(__file__).parent / "snapshots"


def text_of(lines, *, plain=False):
    return "\n".join((ascii_only(each) if plain else each).plain.rstrip() for each in lines) + "\n"


def compare(name, text):
    file = SNAPSHOTS / f"{name}.txt"
    if os.environ.get("UPDATE_SNAPSHOTS"):
        file.parent.mkdir(exist_ok=True)
        file.write_text(text, encoding="utf-8")
    assert text == file.read_text(encoding="utf-8")


@pytest.mark.parametrize("plain", [False, True], ids=["unicode", "ascii"])
@pytest.mark.parametrize("width", [80, 60])
def test_a_run_with_every_verdict_reads_as_kept(width, plain):
    lines = outcome_lines(outcome(passing(), failing(), undecided()), width, "normal")
    compare(f"every_verdict_{width}_{'ascii' if plain else 'unicode'}", text_of(lines, plain=plain))


def test_verbose_adds_facts_pins_and_coverage():
    lines = outcome_lines(outcome(passing(), failing()), 80, "verbose")
    compare("verbose_80", text_of(lines))


def test_a_wide_value_of_unknown_bits_reads_as_kept():
    expected = "0" * 20 + "1001_0110_1000_0111_0011".replace("_", "") + "0" * 12
    observed = "0" * 20 + "1001_0110_10xx_0111_0011".replace("_", "") + "0" * 11 + "z"
    mismatch = Mismatch(41, 40, 420.0, "bcd", "bcd", 52, expected, observed)
    failure = Failure("unknown_value", "bcd is unknown (x) in cycle 41, after reset", mismatch)
    check = failing(failure=failure, reason=failure.text, explanations=())
    lines = outcome_lines(outcome(check), 60, "normal")
    compare("unknown_bits_60", text_of(lines))


def test_a_hang_is_told_without_a_trace():
    failure = Failure("hang", "the simulator gave no answer within 10 s: a zero-delay loop")
    check = undecided(failure=failure, reason=failure.text)
    compare("hang_80", text_of(outcome_lines(outcome(check), 80, "normal")))


def test_an_error_shows_the_line_with_a_caret():
    compare("error_80", text_of(error_lines(broken_bench(), 80)))


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_no_line_but_a_command_or_a_place_is_wider_than_the_terminal(width):
    for level in ("normal", "verbose"):
        for each in outcome_lines(outcome(passing(), failing(), undecided()), width, level):
            if not any(mark in each.plain for mark in ("everyedge replay", ".v:")):
                assert each.cell_len <= width, each.plain


def test_quiet_is_the_total_line_alone():
    lines = outcome_lines(outcome(passing(), failing()), 80, "quiet")
    assert [each.plain for each in lines] == [
        "✗ fail      1 check fails, 1 passes: 70,595 clocks compared in 2.5 s"
    ]


def test_the_total_of_passes_alone_is_a_pass():
    text = text_of(outcome_lines(outcome(passing(), passing()), 80, "quiet"))
    assert text.startswith("✓ pass      2 checks pass: 131,584 clocks")


def test_an_interrupted_run_of_passes_does_not_pass():
    done = outcome(passing())
    interrupted = Outcome(done.parts, 1.0, interrupted=True)
    assert interrupted.verdict is Verdict.UNDECIDED
    assert "? undecided 1 check passes, interrupted" in text_of(outcome_lines(interrupted, 80, "quiet"))


def test_an_error_beats_a_failure():
    done = outcome(failing())
    both = Outcome((*done.parts, Part(Path("other.toml"), None, broken_bench())), 1.0)
    assert both.verdict is Verdict.ERROR
    assert "1 could not start, 1 check fails" in text_of(outcome_lines(both, 80, "quiet"))


def test_nothing_checked_is_undecided():
    assert Outcome(()).verdict is Verdict.UNDECIDED
    assert "nothing was checked" in text_of(outcome_lines(Outcome(()), 80, "normal"))


def test_a_source_line_cannot_move_the_cursor():
    wicked = failing(reason="\x1b[2Jgone\r\x07", failure=None, name="a\x1b[31mb")
    text = text_of(outcome_lines(outcome(wicked), 80, "normal"))
    assert "\x1b" not in text
    assert "\r" not in text
    assert "\\x1b[2Jgone" in text


def test_a_pass_says_what_it_does_not_cover():
    text = text_of(outcome_lines(outcome(passing()), 80, "normal"))
    assert "unchecked  busy" in text
    assert "tied       test_mode = 0" in text
    assert "transitions: 56,536 of 65,536" in text


def test_a_long_line_scrolls_so_that_its_column_stays_in_sight():
    error = broken_bench()
    source = "x" * 200 + "HERE" + "y" * 200
    place = type(error.place)(error.place.file, 3, 201, source)
    shown, caret = [each.plain for each in error_lines(type(error)("bad", place=place), 60)][1:]
    assert shown[caret.index("^") :].startswith("HERE")
    assert len(shown) <= 60


def test_verbose_says_why_a_speedup_is_sound_and_normal_says_what_is_wrong_with_one():
    sound = passing(speedup=Speedup(12_000, True, ("the ratio scales with CLK_HZ",)))
    assert "evidence   the ratio scales" in text_of(outcome_lines(outcome(sound), 80, "verbose"))
    unsound = passing(speedup=Speedup(12_000, False, (), ("a counter of 8 bits is too short",)))
    text = text_of(outcome_lines(outcome(unsound), 80, "normal"))
    assert "speed-up   12,000, not sound\n             a counter of 8 bits" in text
