"""Checks side by side: the results they give alone, in their order, and an end that leaves nothing."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

from verify.checks import Settings, check_bench
from verify.errors import BenchError, DesignError, ToolError
from verify.results import CheckResult, Verdict

DIAL = """
module dial #(parameter LAST = 9) (input clk, input rst, input en, output reg [{top}:0] q);
  always @(posedge clk or posedge rst) if (rst) q <= 0; else if (en) q <= (q == LAST) ? 0 : q + 1;
endmodule
"""
LONG = 400_000


def bench(folder: Path, *lasts: int, top: int = 19) -> Path:
    """Dials of so many numbers; one of 13 has one too many."""
    (folder / "dial.v").write_text(DIAL.format(top=top))
    checks = "".join(
        f'[[check]]\nname = "to {last - 1}"\nmodel = "counter"\nports = {{ count = "q", enable = "en" }}\n'
        f"parameters = {{ LAST = {last - (last != 13)} }}\nexpect = {{ modulo = {last} }}\n"
        for last in lasts
    )
    path = folder / "bench.toml"
    path.write_text(f'[design]\nsources = ["dial.v"]\n[clock]\nport = "clk"\n[reset]\nport = "rst"\n{checks}')
    return path


def test_what_is_allowed_is_allowed_in_every_process(tmp_path: Path) -> None:
    path = bench(tmp_path, 8, 9, 10, 11)
    ending = DIAL.format(top=19).replace("endmodule", "always @(posedge clk) if (q > 99) $finish; endmodule")
    (tmp_path / "dial.v").write_text(ending)
    settings = Settings(jobs=4, examples=5, allow=("finish",))
    assert [r.verdict for r in check_bench(path, settings).checks] == [Verdict.PASS] * 4
    with pytest.raises(DesignError, match=r"\$finish is refused"):
        check_bench(path, Settings(jobs=4, examples=5))
    words = [sys.executable, "-m", "verify", "check", str(path), "--jobs", "4"]
    ran = subprocess.run(words, capture_output=True, text=True, timeout=120, check=False)
    assert "$finish is refused" in ran.stderr
    assert "leaked" not in ran.stderr  # of a process that was stopped while it read the design


def test_whoever_asks_for_checks_side_by_side_loads_no_engine() -> None:
    """The workers do, and meanwhile nobody waits for the same a second time."""
    code = """
import sys
import verify.cli.check, verify.checks.side_by_side
from pathlib import Path
from verify.cli.selection import jobs_at_once
assert jobs_at_once([(Path(sys.argv[1]), ())], 8) == 2
assert jobs_at_once([(Path(sys.argv[1]), ("display", "tick"))], 8) == 2
assert jobs_at_once([(Path("no such bench"), ())], 8) == 1
print({"pyslang", "hypothesis", "cocotb", "verify.diagnose"} & {*sys.modules})
"""
    bench = Path(__file__).parents[2] / "rtl_examples/divider_two_stage/bench.toml"
    ran = subprocess.run(
        [sys.executable, "-c", code, str(bench)], capture_output=True, text=True, check=False
    )
    assert ran.stdout == "set()\n", ran.stderr


class Ear:
    """Keeps the order in which checks were told."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def check_started(self, name: str, expected_clocks: int | None) -> None: ...
    def stage(self, name: str, text: str) -> None: ...
    def clocks(self, name: str, done: int, total: int | None) -> None: ...

    def check_finished(self, result: CheckResult) -> None:
        self.told.append(result.name)


def plain(result: CheckResult) -> tuple[object, ...]:
    failure = result.failure
    return (
        result.name,
        result.verdict,
        result.reason,
        result.cycles,
        result.latency,
        result.facts,
        result.coverage,
        None if failure is None else failure.mismatch,
    )


def test_checks_side_by_side_give_what_they_give_alone_in_the_order_of_the_bench(tmp_path: Path) -> None:
    path = bench(tmp_path, 60_000, 13, 5)
    ear = Ear()
    beside = check_bench(path, Settings(examples=20, jobs=3), ear)
    alone = check_bench(path, Settings(examples=20))
    assert [plain(r) for r in beside.checks] == [plain(r) for r in alone.checks]
    assert [r.verdict.value for r in beside.checks] == ["pass", "fail", "pass"]
    assert ear.told == [r.name for r in beside.checks]


def test_a_bench_that_cannot_be_run_is_told_as_it_is_alone(tmp_path: Path) -> None:
    path = bench(tmp_path, 5, 7)
    path.write_text(path.read_text().replace('count = "q"', 'count = "nothing"', 1))
    messages = []
    for jobs in (1, 2):
        with pytest.raises(BenchError, match="nothing") as raised:
            check_bench(path, Settings(jobs=jobs))
        messages.append((raised.value.message, raised.value.place, raised.value.advice))
    assert messages[0] == messages[1]


class Killer(Ear):
    """Kills the workers once a check is under way."""

    def clocks(self, name: str, done: int, total: int | None) -> None:
        for child in psutil.Process(os.getpid()).children():
            child.kill()


def test_a_check_whose_process_dies_has_no_verdict(tmp_path: Path) -> None:
    with pytest.raises(ToolError, match="ended unexpectedly"):
        check_bench(bench(tmp_path, LONG, LONG + 1), Settings(jobs=2), Killer())


def test_an_interrupt_ends_every_process_and_keeps_what_had_finished(tmp_path: Path) -> None:
    result = tmp_path / "result.json"
    command = [sys.executable, "-m", "verify", "check", str(bench(tmp_path, 5, LONG, 6)), "--jobs", "2"]
    with subprocess.Popen(
        [*command, "--json", str(result)], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as process:
        family = psutil.Process(process.pid)
        deadline = time.monotonic() + 60
        seen: dict[int, psutil.Process] = {}
        while time.monotonic() < deadline:
            seen |= {p.pid: p for p in family.children(recursive=True)}
            if _at_the_long_check(family):
                break
            time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        output, _ = process.communicate(timeout=30)
    assert process.returncode == 130, output
    assert not [p for p in seen.values() if p.is_running() and p.status() != psutil.STATUS_ZOMBIE]
    kept = json.loads(result.read_text())
    assert kept["verdict"] != "pass"
    assert "to 4" in [c["name"] for c in kept["checks"]], output
    assert f"to {LONG - 1}" not in [c["name"] for c in kept["checks"]]


def _at_the_long_check(family: psutil.Process) -> bool:
    """Whether a simulator has been at work for longer than the small checks take."""
    for child in family.children(recursive=True):
        try:
            if child.name() == "vvp" and child.cpu_times().user > 1.0:
                return True
        except psutil.Error:
            continue
    return False
