"""The child process: its walls, its start, and its end whatever happens to the parent."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest
from rtl import drive, samples, target

from verify.simulation import Target, open_simulation, process, sandbox

COUNTER = "module dut(input clk, output reg [7:0] q = 0); always @(posedge clk) q <= q + 1; endmodule"
EXPECTED = [("00000000",), ("00000001",), ("00000010",)]


@pytest.fixture
def unit(tmp_path: Path) -> Target:
    return target(tmp_path, COUNTER, [], [("q", 8)])


def play(unit: Target) -> list[tuple[str, ...]]:
    with open_simulation(unit) as simulation:
        return samples(simulation.play(drive(unit, [(3,)])))


def test_the_package_does_not_load_cocotb() -> None:
    code = "import sys, verify.simulation; print([m for m in sys.modules if m.startswith('cocotb')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_it_works_without_bubblewrap(unit: Target, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sandbox, "bubblewrap", tuple)
    with open_simulation(unit) as simulation:
        assert simulation.sandbox.startswith("own process group")
        assert samples(simulation.play(drive(unit, [(3,)]))) == EXPECTED


def test_it_works_through_cocotb_s_regression_runner(unit: Target, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(process, "KNOWN_COCOTB", "no such version")
    assert play(unit) == EXPECTED


def test_the_user_s_environment_does_not_reach_the_design(
    unit: Target, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COCOTB_TOPLEVEL", "nonsense")
    monkeypatch.setenv("PYTHONPATH", "/nonsense")
    monkeypatch.setenv("PYTHONHOME", "/nonsense")
    assert play(unit) == EXPECTED


@pytest.mark.skipif(not sandbox.bubblewrap(), reason="bubblewrap is not installed or not permitted")
def test_a_design_cannot_write_outside_its_scratch_folder(tmp_path: Path) -> None:
    text = f"""module dut(input clk, output y); integer f; assign y = f != 0;
      initial f = $fopen("{tmp_path}/out.txt", "w"); endmodule"""
    assert play(target(tmp_path, text, [], [("y", 1)]))[0] == ("0",)
    assert not (tmp_path / "out.txt").exists()


PARENT = """
import sys, json, os, threading, time; sys.path.insert(0, {here!r})
from pathlib import Path
import psutil
from rtl import drive, target
from verify.simulation import open_simulation
unit = target(Path({folder!r}), {text!r}, [], [("q", 8)])
with open_simulation(unit) as simulation:
    simulation.play(drive(unit, [(3,)]))
    family = psutil.Process(os.getpid()).children(recursive=True)
    print(json.dumps([[p.pid, p.create_time()] for p in family]), flush=True)
    {wait}
"""


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
@pytest.mark.parametrize(
    "wait", ["time.sleep(60)", "simulation.play(drive(unit, [(1 << 40,)]))"], ids=["idle", "in a burst"]
)
def test_nothing_outlives_a_parent_that_is_killed(tmp_path: Path, how: signal.Signals, wait: str) -> None:
    code = PARENT.format(here=str(Path(__file__).parent), folder=str(tmp_path), text=COUNTER, wait=wait)
    parent = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert parent.stdout is not None
    family = json.loads(parent.stdout.readline())
    assert family
    time.sleep(0.2)
    parent.send_signal(how)
    parent.wait(30)
    parent.stdout.close()
    deadline = time.monotonic() + 20
    while (left := alive(family)) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert left == []


def alive(family: list[tuple[int, float]]) -> list[str]:
    names = []
    for pid, born in family:
        try:
            child = psutil.Process(pid)
            if child.create_time() == born and child.status() != psutil.STATUS_ZOMBIE:
                names.append(child.name())
        except psutil.NoSuchProcess:
            pass
    return names


def test_scratch_folders_of_killed_parents_are_swept(unit: Target) -> None:
    with open_simulation(unit) as simulation:
        root = simulation._child._log.parent.parent
        left = root / "run-left"
        left.mkdir()
        (left / ".lock").write_text("")
        play(unit)
        assert not left.exists()
        assert samples(simulation.play(drive(unit, [(3,)]))) == EXPECTED
    assert not simulation._child._log.parent.exists()
