"""Build a design and start its simulation."""

from __future__ import annotations

from verify.simulation.cache import BuildCache, cache_directory
from verify.simulation.icarus import build_icarus
from verify.simulation.interface import SimulatorKind, Target
from verify.simulation.limits import Limits
from verify.simulation.process import Child
from verify.simulation.running import RunningSimulation
from verify.simulation.scratch import Scratch
from verify.simulation.sources import data_files, read_sources
from verify.simulation.verilator import build_verilator

__all__ = ["open_simulation"]


def open_simulation(
    target: Target, *, kind: SimulatorKind = "icarus", limits: Limits | None = None
) -> RunningSimulation:
    """Build ``target`` (or find it built) and start the simulator; use it as a context manager.

    The child starts up while the caller goes on; the first burst waits for it. Raises DesignError
    when the design does not compile, ToolError when a tool is missing.
    """
    limits = limits or Limits()
    sources = read_sources(target)
    cache = BuildCache(cache_directory())
    build = (build_icarus if kind == "icarus" else build_verilator)(target, sources, cache, limits)
    scratch = Scratch(data_files(target, sources.texts))
    try:
        child = Child(build, scratch, limits)
    except BaseException:
        scratch.close()
        raise
    return RunningSimulation(kind, target, child, scratch, limits)
