"""How fast the engine is beside the usual ways, on this machine, side by side.

Rates are per second of processor time (all processes together), starts are wall time.

Nothing here fails for being slow. The rounds of all contestants take turns, and medians are taken,
so that a load on the machine meets all of them.
"""

from __future__ import annotations

import time
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from contestants import TIMER, Timed, bare, checked, drive, percycle, spent
from findings import LINES

from verify.signals import Signal, column
from verify.simulation import Drive, SimulatorKind, Target, open_simulation

ROUNDS = 5
ECHO = """module echo(input clk, input rst_n, input [31:0] x, output reg [31:0] y, output reg [31:0] sum);
  always @(posedge clk or negedge rst_n)
    if (!rst_n) begin y <= 0; sum <= 0; end else begin y <= x; sum <= sum + x; end
endmodule
"""


def rates(contestants: dict[str, tuple[Timed, int]]) -> dict[str, float]:
    seconds: dict[str, list[float]] = {name: [] for name in contestants}
    for _ in range(ROUNDS):
        for name, (run, clocks) in contestants.items():
            seconds[name].append(run(clocks))
    return {name: clocks / median(seconds[name]) for name, (_, clocks) in contestants.items()}


@pytest.mark.parametrize(
    ("kind", "fast", "slow"), [("icarus", 1_000_000, 20_000), ("verilator", 30_000_000, 30_000)]
)
def test_a_six_digit_timer_on_every_clock(tmp_path: Path, kind: SimulatorKind, fast: int, slow: int) -> None:
    with open_simulation(TIMER, kind=kind) as simulation:
        found = rates(
            {
                "checked on every clock": (checked(simulation), fast),
                "cocotb, clock by clock": (percycle(kind, tmp_path / "percycle"), slow),
                "bare testbench": (bare(kind, tmp_path / "bare"), fast),
            }
        )
    mine = found["checked on every clock"]
    LINES.extend([f"| six-digit timer, {kind} | clocks/s | checked is faster by |", "|---|--:|--:|"])
    LINES.extend(f"| {name} | {rate:,.0f} | {mine / rate:.2f} |" for name, rate in found.items())
    LINES.append("")


@pytest.mark.parametrize(("kind", "clocks"), [("icarus", 200_000), ("verilator", 2_000_000)])
def test_short_and_dense_bursts(tmp_path: Path, kind: SimulatorKind, clocks: int) -> None:
    (tmp_path / "echo.v").write_text(ECHO)
    inputs, outputs = (Signal("rst_n", 1), Signal("x", 32)), (Signal("y", 32), Signal("sum", 32))
    target = Target((tmp_path / "echo.v",), "echo", "clk", inputs, outputs)
    x = np.random.default_rng(1).integers(0, 1 << 32, clocks)
    dense = Drive(inputs, np.ones(clocks, np.int64), (column(np.ones(clocks, np.int64), 1), column(x, 32)))
    short = drive(target, [(1, 0, 5), (49, 1, 7)])
    begin = time.perf_counter()
    with open_simulation(target, kind=kind) as simulation:
        built = time.perf_counter() - begin
        simulation.play(short)
        first = time.perf_counter() - begin
        found = rates(
            {
                "32 bits in and out change on every clock": (lambda _: timed(simulation, dense, 1), clocks),
                "bursts of 50 clocks": (lambda count: timed(simulation, short, count), 500),
            }
        )
    with open_simulation(target, kind=kind) as simulation:
        begin = time.perf_counter()
        simulation.play(short)
        again = time.perf_counter() - begin
    LINES.extend([f"| engine, {kind} | |", "|---|--:|"])
    LINES.append(f"| dense: clocks/s | {found['32 bits in and out change on every clock']:,.0f} |")
    LINES.append(f"| bursts of 50 clocks: bursts/s | {found['bursts of 50 clocks']:,.0f} |")
    LINES.append(f"| build, s | {built:.2f} |")
    LINES.append(f"| build and first burst, s | {first:.2f} |")
    LINES.append(f"| start and first burst of a cached build, s | {again:.2f} |")
    LINES.append("")


def timed(simulation, burst: Drive, count: int) -> float:
    begin = spent(simulation)
    for _ in range(count):
        simulation.play(burst)
    return spent(simulation) - begin
