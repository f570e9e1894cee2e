"""What a whole check takes: started cold and warm, with many examples, over long runs.

Starts are wall time, all else processor time, the simulator's included where it says so.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from contestants import drive, spent
from findings import LINES

from verify.checks import Settings, check_bench
from verify.signals import Signal
from verify.simulation import Target, open_simulation

HERE = Path(__file__).parent
TIMER = HERE.parent.parent / "rtl_examples" / "exposure_timer" / "bench.toml"
STARTS = 3
SMALL = """module dial(input clk, input rst, input en, input clr, output reg [3:0] q);
  always @(posedge clk or posedge rst)
    if (rst) q <= 0; else if (clr) q <= 0; else if (en) q <= q == 9 ? 0 : q + 1;
endmodule
"""
SMALL_BENCH = """[design]
sources = ["dial.v"]
[clock]
port = "clk"
[reset]
port = "rst"
[[check]]
model = "counter"
ports = { count = "q", enable = "en", clear = "clr" }
expect = { modulo = 10 }
"""


def command(words: list[str], cache: Path) -> float:
    begin = time.perf_counter()
    env = {**os.environ, "EVERYEDGE_CACHE": str(cache)}
    subprocess.run([sys.executable, "-m", "verify", *words], env=env, capture_output=True, check=True)
    return time.perf_counter() - begin


@pytest.fixture
def small(tmp_path: Path) -> Path:
    (tmp_path / "dial.v").write_text(SMALL)
    (tmp_path / "bench.toml").write_text(SMALL_BENCH)
    return tmp_path / "bench.toml"


def test_from_the_command_line(tmp_path: Path, small: Path) -> None:
    calls = {
        "everyedge --help": ["--help"],
        "a counter": ["check", str(small)],
        "a counter, on Verilator": ["check", str(small), "--simulator", "verilator"],
        "exposure timer, 100 hours: clock": ["check", str(TIMER), "--only", "clock"],
        "exposure timer, 100 hours: display": ["check", str(TIMER), "--only", "display"],
        "exposure timer, all seven checks": ["check", str(TIMER)],
    }
    LINES.extend(["| wall time of a command, s | cold | warm |", "|---|--:|--:|"])
    for number, (name, words) in enumerate(calls.items()):
        caches = [tmp_path / f"{number}-{turn}" for turn in range(STARTS)]
        cold = median(command(words, cache) for cache in caches)
        warm = median(command(words, cache) for cache in caches)
        LINES.append(f"| {name} | {cold:.2f} | {warm:.2f} |")
    LINES.append("")


@pytest.mark.parametrize("simulator", ["icarus", "verilator"])
def test_ten_thousand_examples(small: Path, simulator: str) -> None:
    check_bench(small, Settings(simulator=simulator, examples=1))
    begin, at = time.perf_counter(), time.process_time()
    (check,) = check_bench(small, Settings(simulator=simulator, examples=10_000)).checks
    wall, used = time.perf_counter() - begin, time.process_time() - at
    assert check.verdict.value == "pass", check.reason
    LINES.append(
        f"10,000 examples on {simulator}: {check.cycles:,} clocks, {wall:.1f} s "
        f"({used:.1f} s of it Python's processor time), {10_000 / wall:,.0f} examples/s"
    )
    LINES.append("")


@pytest.mark.parametrize(("simulator", "longest"), [("icarus", 7), ("verilator", 9)])
def test_cost_grows_with_the_clocks(tmp_path: Path, simulator: str, longest: int) -> None:
    bench = tmp_path / "bench.toml"
    text = TIMER.read_text(encoding="utf-8").replace("rtl/*.v", f"{TIMER.parent}/rtl/*.v")
    bench.write_text(text.replace('speedup = "auto"', "speedup = 4000"), encoding="utf-8")
    LINES.extend(
        [
            f"| one run, {simulator}: clocks | simulator, s | Python, s | peak memory of Python, MB |",
            "|--:|--:|--:|--:|",
        ]
    )
    for power in range(5, longest + 1):
        call = [sys.executable, str(HERE / "longrun.py"), str(bench), simulator, str(10**power)]
        found = json.loads(subprocess.run(call, capture_output=True, check=True, text=True).stdout)
        LINES.append(
            f"| {found['clocks']:,} | {found['simulator']:.1f} | {found['python']:.1f} "
            f"| {found['megabytes']:.0f} |"
        )
    LINES.append("")


def test_a_burst_beyond_two_to_the_32_clocks_loses_none(tmp_path: Path) -> None:
    """A few minutes: too long for the other tests."""
    (tmp_path / "dut.v").write_text(
        "module dut(input clk, input rst, output [15:0] y); reg [39:0] n; assign y = n[39:24];\n"
        "always @(posedge clk) if (rst) n <= 0; else n <= n + 1; endmodule\n"
    )
    target = Target((tmp_path / "dut.v",), "dut", "clk", (Signal("rst", 1),), (Signal("y", 16),))
    clocks, held = (1 << 32) + (1 << 26), 3
    with open_simulation(target, kind="verilator") as simulation:
        simulation.play(drive(target, [(held, 1)]))
        begin = spent(simulation)
        trace = simulation.play(drive(target, [(clocks, 0)]))
        seconds = spent(simulation) - begin
    steps = np.arange(clocks >> 24)
    assert trace.length == clocks
    assert trace.cycles.tolist() == (steps << 24).tolist()
    assert trace.values[0].tolist() == steps.tolist()
    LINES.extend([f"{clocks:,} clocks in one burst on Verilator: {seconds:.0f} s", ""])
