"""Verilog of many hands, with nothing said about it: the right pass, the flawed fail, few are asked about."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from verify.bench.inference.infer import infer
from verify.checks import Settings, check_verilog
from verify.checks.benchless.inferred import QuestionError
from verify.checks.benchless.inferred_groups import check_group, groups_of
from verify.checks.settings import SilentListener
from verify.design.stubs import Stub
from verify.results import Verdict

BAG = Path(__file__).parent / "mixed_bag"
SLOW = frozenset(
    [
        "board_seconds.v",
        "chrono_boutons.v",
        "cronometro.v",
        "dabble_seq.v",
        "four_slow.v",
        "half_reset_ok.v",
        "minutnik.v",
        "seg_mux4.v",
        "seg_scalar.v",
        "slow_scan.v",
        "uhr12.v",
    ]
)
"""They take five seconds and more each, right and flawed; run with ``EVERYEDGE_BAG=all``."""


def files_in(folder: str) -> list[Path]:
    skipped = frozenset() if os.environ.get("EVERYEDGE_BAG") == "all" else SLOW
    return sorted(file for file in (BAG / folder).iterdir() if file.name not in skipped)


RIGHT, FLAWED, UNKNOWN = files_in("right"), files_in("flawed"), files_in("unknown")
ASKED: frozenset[str] = frozenset()
"""Files of which names and code leave open what is meant, so that the user is asked."""

QUICK = Settings(examples=3, cycles_limit=200_000, explain_seconds=0.0)


def verdict_of(file: Path, monkeypatch: pytest.MonkeyPatch, folder: Path) -> str:
    monkeypatch.chdir(folder)
    try:
        return check_verilog([file], QUICK).verdict.value
    except QuestionError:
        return "asks"


def test_the_bag_is_large_and_half_of_it_is_flawed() -> None:
    assert len(RIGHT) + len(FLAWED) >= 60
    assert abs(len(RIGHT) - len(FLAWED)) <= 6
    assert 10 * len(ASKED) <= len(RIGHT) + len(FLAWED)


@pytest.mark.parametrize("file", RIGHT, ids=lambda file: file.name)
def test_a_right_design_passes_by_inference_alone(
    file: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    wanted = "asks" if f"right/{file.name}" in ASKED else Verdict.PASS.value
    assert verdict_of(file, monkeypatch, tmp_path) == wanted


@pytest.mark.parametrize("file", FLAWED, ids=lambda file: file.name)
def test_a_flawed_design_is_not_inferred_away(
    file: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    wanted = "asks" if f"flawed/{file.name}" in ASKED else Verdict.FAIL.value
    assert verdict_of(file, monkeypatch, tmp_path) == wanted


@pytest.mark.parametrize("file", UNKNOWN, ids=lambda file: file.name)
def test_what_no_golden_model_fits_is_said_to_be_so_and_never_passes(
    file: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    (check,) = check_verilog([file], QUICK).checks
    assert check.verdict is Verdict.UNDECIDED
    assert check.reason.startswith("no golden model fits")


BUFFERED = """module buffered_mod10(input clk, input rst, output reg [3:0] q, output reg ok);
wire fast; CLOCK_BUFFER b(.I(clk), .O(fast));
always @(posedge fast) if (rst) q <= 0; else q <= (q == {last}) ? 0 : q + 1;
endmodule
"""


@pytest.mark.parametrize(
    ("last", "follows", "verdict"),
    [(9, None, "undecided"), (9, "I", "pass"), (10, "I", "fail"), (10, None, "undecided")],
)
def test_what_depends_on_a_stub_has_no_verdict_unless_it_is_said_what_the_stub_does(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, last: int, follows: str | None, verdict: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("buffered.v").write_text(BUFFERED.format(last=last), encoding="utf-8")
    (group,) = groups_of(infer([Path("buffered.v")], [Stub("CLOCK_BUFFER", follows)]))
    result = check_group(group, QUICK, SilentListener())
    assert result.verdict.value == verdict
    if verdict == "undecided":
        assert result.checks[0].reason == "q depends on CLOCK_BUFFER.O, for which a stub stands in"
