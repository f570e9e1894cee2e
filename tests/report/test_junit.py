from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import junitparser
from specimens import broken_bench, failing, outcome, passing, undecided

from verify.report.junit import as_xml
from verify.report.outcome import Outcome, Part


def cases_of(result):
    report = junitparser.JUnitXml.fromstring(as_xml(result).encode())
    return {case.name: case for suite in report for case in suite}


def test_a_case_per_check_with_its_result():
    cases = cases_of(outcome(passing(), failing(), undecided()))
    assert cases["converter"].result == []
    assert cases["converter"].classname == "bcd.bin_to_bcd"
    assert isinstance(cases["display digits"].result[0], junitparser.Failure)
    assert cases["display digits"].result[0].type == "mismatch"
    assert cases["display digits"].time == 0.41


def test_undecided_is_an_error_there_because_skipped_counts_as_good():
    result = cases_of(outcome(undecided()))["flash"].result[0]
    assert isinstance(result, junitparser.Error)
    assert "settle by" in result.text


def test_the_text_of_a_failure_is_the_whole_report():
    text = cases_of(outcome(failing()))["display digits"].result[0].text
    assert "expected   0101   5   0x5" in text
    assert "▲" in text
    assert "everyedge replay" in text


def test_the_counts_add_up():
    result = Outcome((*outcome(passing(), failing()).parts, Part(Path("b.toml"), None, broken_bench())))
    report = junitparser.JUnitXml.fromstring(as_xml(result).encode())
    report.update_statistics()
    assert (report.tests, report.failures, report.errors, report.skipped) == (3, 1, 1, 0)


def test_an_error_keeps_its_place():
    case = cases_of(Outcome((Part(Path("b.toml"), None, broken_bench()),)))["bench"]
    assert "bench.toml:12:11: error: unknown role" in case.result[0].text


def test_an_interrupted_run_is_an_error():
    cases = cases_of(replace(outcome(passing()), interrupted=True))
    assert isinstance(cases["interrupted"].result[0], junitparser.Error)


def test_control_characters_and_markup_survive_as_text():
    check = failing(name="a <b> & \x00\x1b\ud800", reason="1 < 2 & \x0b")
    case = next(iter(cases_of(outcome(check)).values()))
    assert case.name == "a <b> & \\x00\\x1b\\ud800"
    assert case.result[0].message == "1 < 2 & \\x0b"
