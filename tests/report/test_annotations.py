"""Workflow commands: the right line, and nothing of a message taken for syntax."""

import re
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.report.specimens import BENCH, broken_bench, failing, outcome, passing, undecided
from verify.errors import DesignError, Place
from verify.report.annotations import command, commands
from verify.report.outcome import Outcome, Part
from verify.results import Speedup, Verdict

FORM = re.compile(r"::(?P<level>\w+) (?P<properties>[^:]*)::(?P<message>.*)")


def parsed(line):
    """As the runner on the other side reads it."""
    match = FORM.fullmatch(line)
    properties = dict(part.split("=", 1) for part in match["properties"].split(","))
    return match["level"], {k: unquote(v) for k, v in properties.items()}, unquote(match["message"])


def told(*checks):
    return [parsed(line) for line in commands(outcome(*checks))]


@pytest.fixture(autouse=True)
def in_a_repository(tmp_path, monkeypatch):
    (tmp_path / ".git").mkdir()
    (tmp_path / "below").mkdir()
    monkeypatch.chdir(tmp_path / "below")


def test_a_failure_is_an_error_on_the_line_that_drives_the_port():
    ((level, properties, message),) = told(failing(explanations=()), passing())
    assert level == "error"
    assert properties == {
        "file": "below/exposure_timer/rtl/exposure_clock.v",
        "line": "61",
        "col": "9",
        "title": "everyedge: display digits",
    }
    assert message.splitlines()[0] == "sec_tens is 0100 in cycle 1,200, expected 0101"
    assert message.splitlines()[-1].startswith("see it again: everyedge replay ")


def test_a_fault_that_explains_every_cycle_says_where_to_look():
    wrong = failing()
    cause = replace(wrong.explanations[0], place=Place(Path("exposure_timer/rtl/carry.v"), 7))
    ((_, properties, message),) = told(replace(wrong, explanations=(cause,)))
    assert (properties["file"], properties["line"]) == ("below/exposure_timer/rtl/carry.v", "7")
    assert "the carry into the tens of seconds is registered once too often" in message
    ((_, properties, _),) = told(replace(wrong, explanations=(replace(cause, reproduces_all_cycles=False),)))
    assert properties["line"] == "61"


def test_an_undecided_check_is_a_warning_on_its_bench():
    ((level, properties, message),) = told(undecided())
    assert (level, properties["file"]) == ("warning", f"below/{BENCH}")
    assert "to settle it: pin the latency: latency = 1" in message


def test_what_is_wrong_with_the_speed_up_is_shown_where_it_is_written():
    place = Place(Path("rtl/prescaler.v"), 12, 3)
    speedup = Speedup(100, False, (), ("too narrow",), (place,), definite=True)
    check = passing(verdict=Verdict.FAIL, reason="too narrow", speedup=speedup)
    ((level, properties, _),) = told(check)
    assert (level, properties["file"], properties["line"]) == ("error", "below/rtl/prescaler.v", "12")


def test_bench_and_compile_errors_stand_on_their_lines():
    error = DesignError("expected ';'", place=Place(Path("rtl/timer.v"), 9, 4), advice="add it")
    parts = (Part(BENCH, None, broken_bench()), Part(BENCH, None, error))
    first, second = (parsed(line) for line in commands(Outcome(parts)))
    assert first[1]["line"] == "12"
    assert first[1]["file"] == f"below/{BENCH}"
    assert (second[1]["file"], second[1]["line"], second[1]["col"]) == ("below/rtl/timer.v", "9", "4")
    assert second[2] == "expected ';'\nadd it"


def test_passes_say_nothing():
    assert told(passing()) == []


def test_a_file_outside_any_repository_goes_by_its_whole_path(tmp_path):
    (tmp_path / ".git").rmdir()
    _, properties, _ = parsed(command("error", Place(Path("/elsewhere/rtl/a.v"), 1), "t", "m"))
    assert properties["file"] == "/elsewhere/rtl/a.v"


@given(st.text(), st.text(min_size=1))
def test_no_message_or_title_ends_its_command_or_starts_another(message, title):
    line = command("error", Place(Path("a,b:c%.v"), 3), title, message)
    assert len(line.splitlines()) == 1
    level, properties, _ = parsed(line)
    assert level == "error"
    assert set(properties) == {"file", "line", "title"}
    assert properties["file"].endswith("a,b:c%.v")


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126)))
def test_printable_text_arrives_as_it_was(message):
    assert parsed(command("error", Place(Path("a.v")), "t", message))[2] == message
