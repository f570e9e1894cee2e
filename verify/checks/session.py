"""One design in one simulator, spoken to in the terms of a golden model."""

from __future__ import annotations

from types import TracebackType

from verify.bench import ResolvedCheck, to_drive, to_roles
from verify.checks.refusal import refuse_unsafe
from verify.models.golden import GoldenModel
from verify.signals import ObservedTrace, Reset, Run, Stimulus
from verify.simulation import Limits, Simulation, SimulatorKind, open_simulation
from verify.stimulus.vocabulary import Hand

__all__ = ["Session"]

FLUSH_CYCLES = 96
"""How long the very first reset is held: longer than any pipeline, so that no x is left in one."""


NO_WALLS = (
    "no sandbox: bubblewrap is not installed or not permitted here, so the simulator ran with limits "
    "and in a folder of its own, but could see the network and your files"
)


class Session:
    """A simulation of one check's design; a context manager.

    Where there is a reset, it has been held for long before the first stimulus. ``clocks`` counts
    what was played. Raises DesignError for a design that is not to be run.
    """

    def __init__(self, check: ResolvedCheck, kind: SimulatorKind, limits: Limits | None = None) -> None:
        refuse_unsafe(check)
        self.check, self.kind = check, kind
        self._limits = limits
        self.clocks = 0
        self._open: tuple[str, ...] = ()
        self._simulation: Simulation | None = None

    @property
    def four_state(self) -> bool:
        """Whether x and z are seen."""
        return self.kind == "icarus"

    @property
    def notes(self) -> tuple[str, ...]:
        """What must be said beside any verdict that this session gives rise to."""
        unseen = () if self.four_state else ("two-state simulation: x and z were not checked",)
        return (*self.check.notes, *unseen, *self._open)

    def observe(self, model: GoldenModel, stimulus: Stimulus) -> ObservedTrace:
        """Play the stimulus (over the model's inputs) and return the trace of the model's outputs."""
        if self._simulation is None:
            self._simulation = open_simulation(self.check.target, kind=self.kind, limits=self._limits)
            if not self._simulation.walled:
                self._open = (NO_WALLS,)
            if self.check.reset is not None:
                flush = Run(FLUSH_CYCLES, Hand(model, reset=True).resting, Reset.HELD)
                self._play(Stimulus.of(model.inputs, [flush]))
        return to_roles(self.check, model.outputs, self._play(stimulus))

    def _play(self, stimulus: Stimulus) -> ObservedTrace:
        if self._simulation is None:
            raise RuntimeError("a session plays only while its simulation is open")
        observed = self._simulation.play(to_drive(self.check, stimulus))
        self.clocks += stimulus.length
        return observed

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
