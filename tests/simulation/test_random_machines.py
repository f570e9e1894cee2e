"""What comes back is what the design does: random machines against the same machines in Python."""

from __future__ import annotations

from pathlib import Path

import pytest
from machines import Machine
from rtl import binary, drive, samples, target

from verify.simulation import SimulatorKind, open_simulation


@pytest.mark.parametrize("delays", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_icarus_samples_every_cycle_of_a_random_machine(tmp_path: Path, seed: int, delays: bool) -> None:
    play_and_compare(tmp_path, Machine(seed, delays), "icarus")


@pytest.mark.parametrize(("seed", "delays"), [(102, True), (124, False)])
def test_verilator_samples_every_cycle_of_a_random_machine(tmp_path: Path, seed: int, delays: bool) -> None:
    play_and_compare(tmp_path, Machine(seed, delays), "verilator")


def play_and_compare(folder: Path, machine: Machine, kind: SimulatorKind) -> None:
    unit = target(
        folder, machine.verilog(), [("rst", 1), *machine.inputs], machine.outputs, edge=machine.edge
    )
    rows = machine.rows(700)
    with open_simulation(unit, kind=kind) as simulation:
        # Three bursts: the state stays from one to the next.
        parts = [rows[:5], rows[5:400], rows[400:]]
        observed = [sample for part in parts for sample in samples(simulation.play(drive(unit, part)))]
    expected = machine.expected(rows)
    assert len(observed) == len(expected)
    widths = [width for _, width in machine.outputs]
    wanted = [tuple(map(binary, values, widths)) for values in expected]
    if kind == "verilator":  # two-state: what is not known yet reads as anything
        observed = [
            tuple(t if "x" in t else o for o, t in zip(*pair, strict=True))
            for pair in zip(observed, wanted, strict=True)
        ]
    differing = [cycle for cycle, (o, w) in enumerate(zip(observed, wanted, strict=True)) if o != w]
    assert differing == []
