"""What the rest of the house may ask of a simulator."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from verify.signals import Column, ObservedTrace, Signal

__all__ = ["Drive", "Simulation", "SimulatorKind", "Target"]

SimulatorKind = Literal["icarus", "verilator"]


@dataclass(frozen=True, slots=True)
class Target:
    """What is built: one module of the user's, with its clock and the ports to drive and to watch.

    ``parameters``: name -> Verilog literal or integer. ``inputs``: every input port except the
    clock, reset included, in the order of :attr:`Drive.values`; ``outputs``: every output port
    (inout ports are left open by the caller's choice: neither driven nor watched). ``clock`` None:
    purely combinational; the harness clock still paces the samples. ``edge`` is the active one.
    """

    sources: tuple[Path, ...]
    top: str
    clock: str | None
    inputs: tuple[Signal, ...]
    outputs: tuple[Signal, ...]
    edge: Literal["rising", "falling"] = "rising"
    parameters: tuple[tuple[str, int | str], ...] = ()
    include: tuple[Path, ...] = ()
    defines: tuple[tuple[str, str], ...] = ()
    directory: Path = field(default_factory=Path)
    """Where ``$readmemh`` paths of the design are relative to (the bench's folder)."""
    edited: tuple[tuple[Path, str], ...] = ()
    """Sources that are compiled with another text than they have, line by line the same."""

    @property
    def include_folders(self) -> tuple[Path, ...]:
        """Where included files are looked up, in order."""
        return tuple(dict.fromkeys([*self.include, *(s.parent for s in self.sources), self.directory]))

    def data_folders(self, beside: Path) -> list[Path]:
        """Where a ``$readmemh`` in a source of the folder ``beside`` may find its file, in order.

        Many a project names it from its root, one folder above its sources.
        """
        folders = (self.directory, beside, beside.absolute().parent)
        return list(dict.fromkeys(folder.absolute() for folder in folders))


@dataclass(frozen=True, slots=True, eq=False)
class Drive:
    """A stimulus in terms of ports: row *i* sets all inputs, then lets ``cycles[i]`` clocks pass.

    A row with ``cycles == 0`` only drives: it sets the inputs in the second half of the coming cycle,
    ahead of the next row (a reset pulse between edges is such a row followed by one with the reset
    released). ``cycles`` int64[n] >= 0 and below 2**62; ``values`` one column[n] per input.

    ``early`` bool[n], None for nowhere: rows of no cycles that set the inputs in the first half of
    the coming cycle, after the active edge and before the inactive one. They come ahead of the other
    rows of their cycle; before the very first cycle there is no such half, and they act in the second.
    """

    signals: tuple[Signal, ...]
    cycles: NDArray[np.int64]
    values: tuple[Column, ...]
    early: NDArray[np.bool_] | None = None

    @property
    def length(self) -> int:
        """Number of clock cycles."""
        return int(self.cycles.sum())


class Simulation(Protocol):
    """A running simulator, a context manager; the design keeps its state from burst to burst."""

    kind: SimulatorKind
    four_state: bool
    walled: bool
    """Whether the simulator runs in a sandbox: no network, no writing but in its own folder."""

    def play(self, drive: Drive) -> ObservedTrace:
        """Play one burst at full speed and return the trace of all outputs, ``drive.length`` cycles.

        Raises :class:`verify.errors.SimulationFault`; after that the simulation is closed.
        """
        ...

    def close(self) -> None:
        """End the child and everything it started; safe to call twice."""
        ...
