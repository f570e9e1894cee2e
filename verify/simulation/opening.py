"""Build a design and start its simulation."""

from __future__ import annotations

from pathlib import Path

from verify.errors import DesignError, Place
from verify.simulation.building import Build
from verify.simulation.cache import BuildCache, cache_directory
from verify.simulation.crew import Crew
from verify.simulation.icarus import build_icarus
from verify.simulation.interface import SimulatorKind, Target
from verify.simulation.limits import Limits
from verify.simulation.process import Child
from verify.simulation.running import RunningSimulation
from verify.simulation.scratch import Scratch
from verify.simulation.sources import ChangedError, SourceSet, data_files, read_sources
from verify.simulation.verilator import build_verilator

__all__ = ["build_target", "open_simulation"]

ATTEMPTS = 5


def open_simulation(
    target: Target, *, kind: SimulatorKind = "icarus", limits: Limits | None = None
) -> RunningSimulation:
    """Build ``target`` (or find it built) and start the simulator; use it as a context manager.

    The child starts up while the caller goes on; the first burst waits for it. Raises DesignError
    when the design does not compile, ToolError when a tool is missing.
    """
    limits = limits or Limits()
    build, sources = build_target(target, kind, limits)
    scratch = Scratch(data_files(target, sources.texts))
    try:
        child = Child(build, scratch, limits)
    except BaseException:
        scratch.close()
        raise
    return RunningSimulation(kind, target, child, scratch, limits)


def build_target(
    target: Target, kind: SimulatorKind, limits: Limits, crew: Crew | None = None
) -> tuple[Build, SourceSet]:
    """Build, or find built; ``crew`` runs the compilers. Raises DesignError, ToolError."""
    cache, crew = BuildCache(cache_directory()), crew or Crew()
    builder = build_icarus if kind == "icarus" else build_verilator
    for _ in range(ATTEMPTS):
        sources = read_sources(target)
        try:
            return builder(target, sources, cache, limits, crew), sources
        except ChangedError as error:  # somebody is saving the file: look again
            changed = str(error)
    raise DesignError(
        f"{changed} changes while it is being compiled",
        place=Place(Path(changed)),
        advice="run again once the file is saved",
    )
