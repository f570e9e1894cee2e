"""The worked designs pass, and each flawed one fails where its FLAW.txt says."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

from verify.checks import Settings, check_bench
from verify.results import Verdict

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
RIGHT = sorted(path.parent.name for path in EXAMPLES.glob("*/bench.toml"))
FLAWED = sorted(path.parent.name for path in EXAMPLES.glob("flawed/*/bench.toml"))
LATE_WRAP = "midnight_an_hour_late"
SLOW = {"display_24h", LATE_WRAP}
"""A whole day on six digits takes half a minute; run with ``EVERYEDGE_EXAMPLES=all``."""
SKIPPED = set() if os.environ.get("EVERYEDGE_EXAMPLES") == "all" else SLOW


@dataclass(frozen=True)
class Flaw:
    """What a FLAW.txt says: one sentence, where the flaw must show, and what must be said of it."""

    text: str
    twin: str
    check: str
    ports: tuple[str, ...]
    says: str


def flaw_of(name: str) -> Flaw:
    text, *facts = (EXAMPLES / "flawed" / name / "FLAW.txt").read_text(encoding="utf-8").splitlines()
    given = dict(fact.split(": ", 1) for fact in facts)
    return Flaw(text, given["twin"], given["check"], tuple(given["ports"].split(", ")), given["says"])


def command(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "verify", "check", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


def test_there_are_enough_of_both() -> None:
    assert len(RIGHT) >= 20
    assert len(FLAWED) >= 18


def parts(name: str) -> list[tuple[str, ...]]:
    """The checks of a bench one by one, so that workers can share them; all at once where one has no name."""
    tables = tomllib.loads((EXAMPLES / name / "bench.toml").read_text(encoding="utf-8"))["check"]
    names = [table.get("name") for table in tables]
    return [(each,) for each in names] if all(names) else [()]


PARTS = [(name, only) for name in RIGHT if name not in SKIPPED for only in parts(name)]


@pytest.mark.parametrize(("name", "only"), PARTS, ids=[":".join((name, *only)) for name, only in PARTS])
def test_a_right_design_passes_with_every_output_compared(name: str, only: tuple[str, ...]) -> None:
    result = check_bench(EXAMPLES / name / "bench.toml", Settings(only=only, examples=5))
    verdicts = {check.name: (check.verdict, check.reason) for check in result.checks}
    assert result.verdict is Verdict.PASS, verdicts
    assert all(check.cycles > 0 for check in result.checks)
    assert [check.unchecked_outputs for check in result.checks] == [()] * len(result.checks)


@pytest.mark.parametrize("name", [name for name in FLAWED if name not in SKIPPED])
def test_a_flawed_design_fails_at_a_port_of_its_flaw_and_is_told_why(name: str) -> None:
    flaw = flaw_of(name)
    patient = Settings(only=(flaw.check,), explain_seconds=600.0)
    result = check_bench(EXAMPLES / "flawed" / name / "bench.toml", patient)
    (check,) = result.checks
    assert check.verdict is Verdict.FAIL, (flaw.text, check.reason)
    assert check.failure is not None
    assert check.failure.mismatch is not None
    assert check.failure.mismatch.port in flaw.ports, check.failure.text
    if name == LATE_WRAP:  # it must not be called a skew
        assert check.failure.kind == "mismatch", check.failure.text
    told = [e.text for e in check.explanations if e.reproduces_all_cycles]
    assert any(flaw.says in text for text in told), (told, check.notes)


@pytest.mark.parametrize("name", FLAWED)
def test_a_flawed_design_has_a_right_twin_with_the_same_bench(name: str) -> None:
    flaw = flaw_of(name)
    assert flaw.twin in RIGHT
    benches = [
        tomllib.loads((EXAMPLES / folder / "bench.toml").read_text(encoding="utf-8"))
        for folder in (flaw.twin, f"flawed/{name}")
    ]
    for bench in benches:
        del bench["design"]["sources"]
    assert benches[0] == benches[1]


@pytest.mark.parametrize("name", FLAWED)
def test_a_flawed_design_differs_from_its_twin_in_one_file(name: str) -> None:
    folder, twin = EXAMPLES / "flawed" / name, EXAMPLES / flaw_of(name).twin
    own = [path for path in sorted((folder / "rtl").rglob("*")) if path.is_file()]
    changed = [p for p in own if p.read_bytes() != (twin / p.relative_to(folder)).read_bytes()]
    assert len(changed) == 1


def test_the_command_ends_with_0_for_a_right_design_and_says_the_latency(tmp_path: Path) -> None:
    done = command(EXAMPLES / "bcd_registered/bench.toml", "--json", tmp_path / "result.json")
    result = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))
    assert done.returncode == 0, done.stdout + done.stderr
    assert result["verdict"] == "pass"
    assert [check["latency"] for check in result["checks"]] == [2]


def test_the_command_ends_with_1_for_a_flawed_design_and_names_the_port(tmp_path: Path) -> None:
    done = command(EXAMPLES / "flawed/five_without_f/bench.toml", "--json", tmp_path / "result.json")
    result = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))
    assert done.returncode == 1, done.stdout + done.stderr
    assert result["verdict"] == "fail"
    assert result["checks"][0]["mismatch"]["port"] == "seg_n"
    assert "seg_n" in done.stdout
