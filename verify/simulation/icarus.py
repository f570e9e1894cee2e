"""Build for Icarus Verilog."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path

from verify.errors import ToolError
from verify.simulation.building import (
    Build,
    compile_error,
    digest,
    find_tool,
    harness_of,
    new_harness,
    tool_identity,
)
from verify.simulation.cache import BuildCache
from verify.simulation.crew import Crew, Tool
from verify.simulation.harness import icarus_harness
from verify.simulation.interface import Target
from verify.simulation.limits import Limits
from verify.simulation.quick_casts import with_quick_casts
from verify.simulation.sources import SourceSet

__all__ = ["build_icarus", "cocotb_folder"]

GENERATIONS = (("-g2012",), ("-g2005", "-gno-xtypes"))
"""Verilog-2005 is tried second: older code uses words such as ``bit`` or ``do`` as names."""
INSTALL = "install Icarus Verilog: apt-get install iverilog"


def cocotb_folder() -> Path:
    """Where cocotb is, without importing it. Raises ToolError when it is not installed."""
    spec = find_spec("cocotb")
    if spec is None or not spec.submodule_search_locations:
        raise ToolError("cocotb is not installed", advice="pip install 'cocotb>=2.1,<3'")
    return Path(next(iter(spec.submodule_search_locations)))


def build_icarus(
    target: Target,
    sources: SourceSet,
    cache: BuildCache,
    limits: Limits,
    crew: Crew,
    probe: str = "",
    finish: str = "",
) -> Build:
    """Compile, or find compiled; ``probe``, ``finish``: Verilog for the harness.

    Raises DesignError, ToolError.
    """
    iverilog, vvp = find_tool("iverilog", INSTALL), find_tool("vvp", INSTALL)
    ours = [icarus_harness(target, "everyedge", probe, finish), Path(__file__).read_text()]
    name = "everyedge_" + digest(tool_identity(iverilog, vvp), ours, sources.digest, target.defines)

    def build(folder: Path) -> None:
        harness = folder / "harness.v"
        top = new_harness(folder)
        harness.write_text(icarus_harness(target, top, probe, finish))
        files = [harness, *sources.laid_out(folder)]
        _compile(iverilog, top, target, sources, files, folder / "design.vvp", limits, crew)
        sources.require_unchanged()

    if not sources.complete:
        name += "_" + secrets.token_hex(8)  # what it depends on is not known: never found again
    entry = cache.get(name, build)
    libraries = cocotb_folder() / "libs"
    dumps = () if probe else ("-none",)
    options = ("-n", "-m", str(libraries / "libcocotbvpi_icarus.so"), str(entry / "design.vvp"), *dumps)
    return Build((*with_quick_casts(vvp, cache, crew), *options), harness_of(entry))


def _compile(
    iverilog: str,
    name: str,
    target: Target,
    sources: SourceSet,
    files: Sequence[Path],
    result: Path,
    limits: Limits,
    crew: Crew,
) -> None:
    options = ["-s", name, "-o", str(result)]
    options += [f"-I{folder}" for folder in sources.include]
    options += [f"-D{key}={value}" if value else f"-D{key}" for key, value in target.defines]
    first: Tool | None = None
    for generation in GENERATIONS:
        command = [iverilog, *generation, *options, *map(str, files)]
        tool = crew.run(command, directory=target.directory.absolute(), limits=limits)
        if tool.status == 0 and result.exists():
            return
        first = first or tool
        if "syntax error" not in tool.output and "keyword" not in tool.output:
            break
    assert first is not None  # noqa: S101 -- the loop ran
    raise compile_error("Icarus Verilog", first.output, files[:1])
