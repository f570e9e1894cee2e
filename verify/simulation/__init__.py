"""Run a stimulus on the user's design, in a child process, and bring back what was observed."""

from verify.simulation.ahead import BuiltAhead
from verify.simulation.interface import Drive, Simulation, SimulatorKind, Target
from verify.simulation.limits import Limits
from verify.simulation.opening import open_simulation
from verify.simulation.running import RunningSimulation, Window

__all__ = [
    "BuiltAhead",
    "Drive",
    "Limits",
    "RunningSimulation",
    "Simulation",
    "SimulatorKind",
    "Target",
    "Window",
    "open_simulation",
]
