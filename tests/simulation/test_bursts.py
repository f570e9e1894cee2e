"""Bursts of every shape: empty, dense, held, streamed, and drives that cannot be played."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from rtl import drive, samples, target

from verify.signals import Signal, column
from verify.simulation import Drive, RunningSimulation, Target, open_simulation

COUNTER = """module dut(input clk, input up, output reg [39:0] q = 0);
  always @(posedge clk) if (up) q <= q + 1;
endmodule"""


@pytest.fixture
def unit(tmp_path: Path) -> Target:
    return target(tmp_path, COUNTER, [("up", 1)], [("q", 40)])


@pytest.fixture
def simulation(unit: Target) -> Iterator[RunningSimulation]:
    with open_simulation(unit) as running:
        yield running


def test_an_empty_burst_has_an_empty_trace(unit: Target, simulation: RunningSimulation) -> None:
    for rows in ([], [(0, 1)], [(0, 1), (0, 0)]):
        trace = simulation.play(drive(unit, rows))
        assert (trace.length, len(trace.cycles)) == (0, 0)


def test_a_trace_holds_changes_only(unit: Target, simulation: RunningSimulation) -> None:
    trace = simulation.play(drive(unit, [(1000, 0), (2, 1), (5000, 0)]))
    assert trace.length == 6002
    assert trace.cycles.tolist() == [0, 1001, 1002]
    assert trace.values[0].tolist() == [0, 1, 2]
    assert trace.unknown is None


@pytest.mark.parametrize("rows", [1, 511, 512, 513, 70_000])
def test_rows_of_one_clock_are_all_sampled(unit: Target, simulation: RunningSimulation, rows: int) -> None:
    dense = Drive(unit.inputs, np.ones(rows, np.int64), (column(np.arange(rows) % 3 == 0, 1),))
    trace = simulation.play(dense)
    before = np.concatenate([[0], np.cumsum(np.arange(rows - 1) % 3 == 0)])
    values = trace.values[0][np.searchsorted(trace.cycles, np.arange(rows), "right") - 1]
    assert (values == before).all()


@pytest.mark.parametrize("clocks", [1, 2, 3, 511, 512, 513, 1025, 20_000])
def test_a_held_row_is_sampled_on_every_clock(
    unit: Target, simulation: RunningSimulation, clocks: int
) -> None:
    trace = simulation.play(drive(unit, [(clocks, 1)]))
    assert trace.cycles.tolist() == list(range(clocks))
    assert trace.values[0].tolist() == list(range(clocks))


@pytest.mark.parametrize("kind", ["icarus", "verilator"])
def test_windows_joined_are_the_whole_trace(unit: Target, kind: str) -> None:
    rows = [(1, 1), (3000, 1), (700, 0), (9000, 1), (0, 0), (1, 0)]
    with open_simulation(unit, kind=kind) as simulation:
        whole = simulation.play(drive(unit, rows))
        windows = list(simulation.play_windows(drive(unit, rows), 2000))
    assert len(windows) > 3
    assert windows[0].start == 0
    assert [w.start + w.trace.length for w in windows] == [*(w.start for w in windows[1:]), whole.length]
    cycles = np.concatenate([w.start + w.trace.cycles for w in windows])
    values = np.concatenate([w.trace.values[0] for w in windows])
    assert (cycles == whole.cycles).all()
    assert (values == whole.values[0] + 12_001).all()


def test_leaving_the_windows_early_closes_the_simulation(unit: Target, simulation: RunningSimulation) -> None:
    windows = simulation.play_windows(drive(unit, [(100_000, 1)]), 1000)
    next(windows)
    windows.close()
    with pytest.raises(RuntimeError, match="the simulation is closed"):
        simulation.play(drive(unit, [(1, 1)]))


def test_closing_twice_is_safe(simulation: RunningSimulation) -> None:
    simulation.close()
    simulation.close()


def test_a_burst_after_a_bad_drive_still_plays(unit: Target, simulation: RunningSimulation) -> None:
    bad = [
        (Drive((Signal("up", 2),), np.ones(1, np.int64), (column([1], 2),)), "drive over"),
        (Drive(unit.inputs, np.array([-1]), (column([1], 1),)), "less than 0 clocks"),
        (Drive(unit.inputs, np.ones(2, np.int64), (column([1], 1),)), "one value for each of the 2 rows"),
        (
            Drive(unit.inputs, np.ones(1, np.int64), (column([1], 1),), np.array([True])),
            "only a row of no clocks can be early",
        ),
        (Drive(unit.inputs, np.array([1 << 60]), (column([1], 1),)), "would take years"),
        (Drive(unit.inputs, np.ones(1, np.int64), (column([2], 1),)), "does not fit its 1 bit"),
        (Drive(unit.inputs, np.ones(1, np.int64), (column([-1], 1),)), "does not fit its 1 bit"),
    ]
    for wrong, words in bad:
        with pytest.raises(ValueError, match=words):
            simulation.play(wrong)
    assert samples(simulation.play(drive(unit, [(2, 1)]))) == [("0" * 40,), ("0" * 39 + "1",)]
