"""The usual way: a cocotb test that looks at every output after every clock edge, in Python.

Loaded by cocotb inside the simulator.
"""

from __future__ import annotations

import json
import os
import time
from pathlib import Path

import cocotb
from cocotb.clock import Clock
from cocotb.triggers import FallingEdge, ReadOnly

DIGITS = ("sec_ones", "sec_tens", "min_ones", "min_tens", "hour_ones", "hour_tens")
SEGMENTS = (0x40, 0x79, 0x24, 0x30, 0x19, 0x12, 0x02, 0x78, 0x00, 0x10)
CLOCKS_PER_SECOND = 50
LATENCY = 3


def expected(clock: int) -> tuple[int, ...]:
    """What the six digits show after that many clocks out of reset."""
    seconds = max(0, clock - LATENCY) // CLOCKS_PER_SECOND
    shown = (seconds % 60, seconds // 60 % 60, seconds // 3600 % 100)
    return tuple(SEGMENTS[digit] for value in shown for digit in (value % 10, value // 10))


@cocotb.test()
async def every_output_on_every_clock(dut) -> None:
    clocks = int(os.environ["BENCH_CLOCKS"])
    outputs = [getattr(dut, name) for name in DIGITS]
    dut.rst_n.value = 0
    Clock(dut.clk, 10, unit="ns").start()
    await FallingEdge(dut.clk)
    dut.rst_n.value = 1
    begin = time.process_time()
    for clock in range(1, clocks + 1):
        await FallingEdge(dut.clk)
        await ReadOnly()
        assert tuple(int(output.value) for output in outputs) == expected(clock), clock
    Path(os.environ["BENCH_RESULT"]).write_text(json.dumps(time.process_time() - begin))
