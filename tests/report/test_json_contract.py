"""The JSON result as scripts rely on it: every key of the contract, with its type, in every verdict."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest
from pydantic import BaseModel, ConfigDict
from specimens import BENCH, broken_bench, failing, outcome, passing, undecided

from verify.errors import SimulationFault
from verify.pictures import DigitLook, DisplayLook, Driven, ScanRate
from verify.report.jsonform import as_dict, as_text
from verify.report.outcome import Outcome, Part
from verify.results import Fact, Speedup


class Strict(BaseModel):
    """Types must match as they are; keys beyond these may be added."""

    model_config = ConfigDict(strict=True, extra="allow")


class SourceLine(Strict):
    file: str
    line: int | None


class MismatchKeys(Strict):
    cycle: int
    time_ns: float
    port: str
    role: str
    expected: str
    observed: str
    source: SourceLine | None


class ExplanationKeys(Strict):
    fault: str
    text: str
    reproduces_all_cycles: bool


class CheckKeys(Strict):
    name: str
    model: str
    module: str
    verdict: Literal["pass", "fail", "undecided", "error"]
    reason: str
    cycles: int
    seconds: float
    cycles_per_second: float | None
    simulator: str
    seed: int
    latency: int | None
    measured: dict[str, Any]
    pinned: dict[str, Any]
    coverage: dict[str, Any]
    mismatch: MismatchKeys | None
    explanations: list[ExplanationKeys]
    replay: str | None


class SpeedupKeys(Strict):
    factor: int
    sound: bool | None
    evidence: list[str]
    problems: list[str]


class ErrorKeys(Strict):
    kind: str
    message: str
    file: str | None
    line: int | None


class RunKeys(Strict):
    everyedge: str
    verdict: Literal["pass", "fail", "undecided", "error"]
    checks: list[CheckKeys]
    speedup: SpeedupKeys | None
    error: ErrorKeys | None


ALL = {
    "pass": outcome(passing()),
    "fail": outcome(passing(), failing(), undecided()),
    "undecided": outcome(undecided(), passing()),
    "error": Outcome((*outcome(failing()).parts, Part(Path("b.toml"), None, broken_bench()))),
}


@pytest.mark.parametrize("verdict", ALL)
def test_every_key_of_the_contract_is_there_with_its_type(verdict):
    read = RunKeys.model_validate_json(as_text(ALL[verdict]))
    assert read.verdict == verdict
    for model, keys in ((RunKeys, as_dict(ALL[verdict])), (CheckKeys, as_dict(ALL[verdict])["checks"][0])):
        assert model.model_fields.keys() <= keys.keys()


def test_the_keys_of_a_failure_say_where_and_what():
    check = as_dict(outcome(failing()))["checks"][0]
    assert check["mismatch"] == {
        "cycle": 1200,
        "time_ns": 100_083.333,
        "port": "sec_tens",
        "role": "digits[1]",
        "expected": "0101",
        "observed": "0100",
        "source": {"file": "exposure_timer/rtl/exposure_clock.v", "line": 61},
        "expected_cycle": 1198,
        "width": 4,
    }
    assert check["measured"] == {"latency": 2, "reset.kind": "asynchronous"}
    assert check["pinned"] == {"digit_modulo": [10, 6]}
    assert check["pins"]["latency"] == "latency = 2"
    assert check["explanations"][0]["reproduces_all_cycles"] is True
    assert check["replay"] == "exposure_timer/.everyedge/replays/display-digits.json"


def test_coverage_says_what_was_reached_of_how_much():
    coverage = as_dict(outcome(passing()))["checks"][0]["coverage"]
    assert coverage["values of binary"] == {"reached": 256, "total": 256, "missing": []}
    assert coverage["transitions"]["missing"][0] == "0 to 255"


def test_an_error_names_its_kind_and_place():
    error = as_dict(ALL["error"])["error"]
    assert error["kind"] == "bench"
    assert (error["file"], error["line"], error["column"]) == (str(BENCH), 12, 11)


def test_a_fault_of_the_simulation_keeps_its_word():
    fault = SimulationFault("hang", "no answer", cycle=7)
    error = as_dict(Outcome((Part(BENCH, None, fault),)))["error"]
    assert (error["kind"], error["fault"], error["cycle"]) == ("simulation", "hang", 7)


def test_a_run_claims_the_least_sound_of_its_speedups():
    checks = [
        passing(speedup=Speedup(10, True)),
        passing(speedup=Speedup(20, False, problems=("a counter is too short",))),
        passing(speedup=Speedup(30, None)),
    ]
    assert as_dict(outcome(*checks))["speedup"] == {
        "factor": 20,
        "sound": False,
        "evidence": [],
        "problems": ["a counter is too short"],
    }


def test_an_interrupted_run_of_passes_is_undecided():
    found = as_dict(replace(outcome(passing()), interrupted=True))
    assert found["verdict"] == "undecided"
    assert found["interrupted"] is True


def test_values_that_came_from_arrays_and_odd_file_names_are_still_json():
    check = passing(
        facts=(Fact("dwell", np.int64(5), "measured"), Fact("start", (np.int64(1), 2), "measured")),
        replay=Path("odd\udcff.json"),
        seconds=0.0,
    )
    read = json.loads(as_text(outcome(check)))["checks"][0]
    assert read["measured"] == {"dwell": 5, "start": [1, 2]}
    assert read["cycles_per_second"] is None
    assert read["replay"] == "odd\udcff.json"


def test_a_scan_has_its_rate_and_a_display_its_segments():
    wrong = failing(scan=ScanRate(48.0, 4, 250_000), driven=(Driven("whole trip", 1, 900, 2),))
    seen = (DigitLook("d0", 7, 0b0000110, 0x7F, 0b1000110, 0), DigitLook("d1", None))
    wrong = replace(wrong, failure=replace(wrong.failure, look=DisplayLook(seen, scanned=True)))
    check = as_dict(outcome(wrong))["checks"][0]
    assert check["scan"] == {"refresh_hz": 48.0, "digits": 4, "period_cycles": 250_000, "flickers": True}
    assert check["driven"] == [{"name": "whole trip", "stimuli": 1, "clocks": 900, "resets": 2}]
    assert check["failure"]["digits"] == [
        {"port": "d0", "cycle": 7, "expected": "bc", "observed": "bcg", "unknown": ""},
        {"port": "d1", "cycle": None, "expected": None, "observed": None, "unknown": None},
    ]
    assert as_dict(outcome(failing()))["checks"][0]["scan"] is None
