"""The bench that `describe --write` makes of a worked design leaves nothing to measure.

A few cheap designs by default; EVERYEDGE_DESCRIBED=all takes every worked design.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
ALL = sorted(path.parent.name for path in EXAMPLES.glob("*/bench.toml"))
CHEAP = ["counter_up_down", "divider_square"]
ASKED = {"counter_step", "display_leading_blank", "divider_two_stage", "timer_pause"}
"""Their names leave open in which steps they count, how many minutes there are, and which ratio is meant."""
UNKNOWN = {"own_model"}
"""No golden model of this package fits."""
CHOSEN = (
    [n for n in ALL if n not in ASKED | UNKNOWN] if os.environ.get("EVERYEDGE_DESCRIBED") == "all" else CHEAP
)


def everyedge(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "verify", *words],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )


@pytest.mark.slow
@pytest.mark.parametrize("name", CHOSEN)
def test_a_bench_that_was_written_for_a_worked_design_pins_all_that_is_measured(
    name: str, tmp_path: Path
) -> None:
    folder = tmp_path / name
    shutil.copytree(EXAMPLES / name, folder)
    (folder / "bench.toml").unlink()
    files = sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.suffix in {".v", ".sv"})
    described = everyedge(folder, "describe", *files, "--write", "found.toml")
    assert described.returncode == 0, described.stdout + described.stderr
    frozen = everyedge(folder, "check", "found.toml", "--frozen")
    assert frozen.returncode == 0, frozen.stdout + frozen.stderr
    assert "measured" not in frozen.stdout


def test_a_question_that_only_measuring_raises_is_told_and_nothing_is_pinned(tmp_path: Path) -> None:
    shutil.copytree(EXAMPLES / "divider_two_stage", tmp_path / "design")
    files = sorted(str(p) for p in (tmp_path / "design").rglob("*.v"))
    described = everyedge(tmp_path, "describe", *files, "--write", "found.toml")
    assert described.returncode == 2, described.stdout + described.stderr
    assert "millisecond: what is meant?" in " ".join(described.stdout.split())


def test_a_bench_with_a_pin_taken_out_is_refused_when_frozen(tmp_path: Path) -> None:
    shutil.copytree(EXAMPLES / "counter_up_down", tmp_path / "design")
    folder = tmp_path / "design"
    files = sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.suffix in {".v", ".sv"})
    everyedge(folder, "describe", *files, "--write", "found.toml")
    text = (folder / "found.toml").read_text(encoding="utf-8")
    assert "latency = " in text
    kept = [row for row in text.splitlines() if not row.startswith("latency = ")]
    (folder / "found.toml").write_text("\n".join(kept), encoding="utf-8")
    frozen = everyedge(folder, "check", "found.toml", "--frozen")
    assert frozen.returncode == 2
    assert "latency = " in frozen.stdout + frozen.stderr
