"""A first look is long where a ratio is; what it shows has to be kept only as far as it tells something."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from verify.bench import load_bench, resolve
from verify.checks import runner
from verify.checks.candidates import candidates_of
from verify.checks.session import Session
from verify.results import Verdict
from verify.stimulus import first_look

RATE = 'port = "clk"\nfrequency = 3_100_000\n'
TOGGLES = "module blinker(input clk, input rst, output reg led);\n  always @(posedge clk) {body}\nendmodule\n"
FEW_CHANGES = 200_000
EVERY_CLOCK = TOGGLES.format(body="if (rst) led <= 0; else led <= ~led;")


def test_a_design_that_changes_with_every_clock_of_a_long_look_fails_on_its_beginning(
    check, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runner, "MOST_CHANGES", FEW_CHANGES)
    result = check(EVERY_CLOCK, "divider", 'square = "led"', clock=RATE)
    assert result.verdict is Verdict.FAIL, result.reason
    assert FEW_CHANGES < result.cycles < 2 * FEW_CHANGES
    assert result.failure is not None
    assert result.failure.mismatch is not None
    assert result.failure.mismatch.cycle < 10


def test_the_beginning_of_a_look_is_what_the_whole_look_begins_with(tmp_path: Path) -> None:
    (tmp_path / "blinker.v").write_text(EVERY_CLOCK, encoding="utf-8")
    (tmp_path / "bench.toml").write_text(
        '[design]\nsources = ["blinker.v"]\n[clock]\nport = "clk"\n[reset]\nport = "rst"\n'
        '[[check]]\nmodel = "divider"\nports = { square = "led" }\nexpect = { ratio = 40_000 }\n',
        encoding="utf-8",
    )
    bench = load_bench(tmp_path / "bench.toml")
    resolved = resolve(bench, bench.checks[0])
    model = candidates_of(resolved)[0].model
    stimulus = first_look(model, resets=resolved.resets, seed=1).stimulus
    with Session(resolved, "icarus") as session:
        cut, beginning = session.observe_beginning(model, stimulus, 1_000)
    with Session(resolved, "icarus") as session:
        same, whole = session.observe_beginning(model, stimulus, stimulus.length)
    assert same is stimulus
    assert 1_000 < cut.length == beginning.length < stimulus.length
    rows = len(beginning.cycles)
    np.testing.assert_array_equal(beginning.cycles, whole.cycles[:rows])
    np.testing.assert_array_equal(beginning.values[0], whole.values[0][:rows])
