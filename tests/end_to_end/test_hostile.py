"""No hostile design passes, writes outside its scratch folder, or leaves a process behind."""

from __future__ import annotations

import os
import shutil
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import psutil
import pytest

from verify.checks import Settings, bench_run, check_bench
from verify.errors import EveryedgeError
from verify.simulation import Limits, opening, sandbox

FOLDER = Path(__file__).parent / "hostile"
MARK = Path("/tmp/everyedge_hostile_mark")
BENCH = """
[design]
sources = ["{source}"]
top = "dial"
[clock]
port = "clk"
[reset]
port = "rst"
[[check]]
model = "counter"
ports = {{ count = "q", enable = "en" }}
expect = {{ modulo = 10 }}
"""
NEEDS_WALLS = {"allowed_a_file"}
QUICK = Limits(stall_seconds=0.5, memory_bytes=1 << 30)


@dataclass(frozen=True)
class Hostile:
    """A design and what its first lines say."""

    path: Path
    named: str
    allow: tuple[str, ...]

    @classmethod
    def read(cls, path: Path) -> Hostile:
        facts = {}
        for line in path.read_text(errors="replace").splitlines():
            if not line.startswith("// "):
                break
            key, _, value = line.removeprefix("// ").partition(": ")
            facts[key] = value
        assert facts["does"]
        return cls(path, facts["named"], tuple(facts.get("allow", "").split()))


DESIGNS = [Hostile.read(path) for path in sorted(FOLDER.glob("*.*v"))]


def outcome(design: Hostile, folder: Path) -> str:
    """How the design is named, in the words of its first lines."""
    shutil.copy(design.path, folder)
    bench = folder / "bench.toml"
    bench.write_text(BENCH.format(source=design.path.name), encoding="utf-8")
    try:
        (check,) = check_bench(bench, Settings(examples=10, allow=design.allow)).checks
    except EveryedgeError as error:
        if "is refused" in error.message:
            return f"{'' if error.place and error.place.line else 'somewhere '}refused {error.message}"
        return "unreadable" if "cannot be read" in error.message else "does not compile"
    verdict = {"fail": "fails"}.get(check.verdict.value, check.verdict.value)
    return f"{verdict} {check.failure.kind if check.failure else check.reason}"


def test_there_are_enough_of_them() -> None:
    assert len(DESIGNS) >= 100


@pytest.fixture(autouse=True)
def quick_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    """The usual limits are generous; what runs into them here never comes to an end."""
    monkeypatch.setattr(opening, "Limits", lambda: QUICK)
    reading = partial(bench_run.require_readable, seconds=3, memory_bytes=1 << 30)
    monkeypatch.setattr(bench_run, "require_readable", reading)


@pytest.mark.parametrize("design", DESIGNS, ids=lambda design: design.path.stem)
def test_a_hostile_design_is_named_for_what_it_does(design: Hostile, tmp_path: Path) -> None:
    if design.path.stem in NEEDS_WALLS and not sandbox.bubblewrap():
        pytest.skip("bubblewrap is not installed or not permitted")
    before = {p.pid for p in psutil.process_iter()}
    named = outcome(design, tmp_path)
    assert not named.startswith("pass")
    assert named.startswith(design.named)
    assert not MARK.exists()
    kept = {"bench.toml", design.path.name, ".everyedge"}
    assert {path.name for path in tmp_path.iterdir()} <= kept
    ours = [p for p in psutil.process_iter() if p.pid not in before and _is_ours(p)]
    assert ours == []


def _is_ours(process: psutil.Process) -> bool:
    try:
        below = os.getpid() in {parent.pid for parent in process.parents()}
        alone = process.name() in {"vvp", "sleep"} and process.ppid() in {0, 1}
        return process.status() != psutil.STATUS_ZOMBIE and (below or alone)
    except psutil.Error:
        return False


HARMLESS = sorted((FOLDER.parent / "harmless").glob("*.*v"))


@pytest.mark.parametrize("path", HARMLESS, ids=lambda path: path.stem)
def test_a_right_design_passes_whatever_else_it_holds(path: Path, tmp_path: Path) -> None:
    for file in path.parent.glob("*.hex"):
        shutil.copy(file, tmp_path)
    assert outcome(Hostile(path, "pass", ()), tmp_path).startswith("pass")
    assert {p.suffix for p in tmp_path.iterdir()} <= {".v", ".sv", ".hex", ".toml"}
