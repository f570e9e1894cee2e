"""Build for Verilator: the design and the native player in one program."""

from __future__ import annotations

import secrets
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from verify.errors import ToolError
from verify.simulation.building import (
    FATAL_STATUS,
    UNSETTLED_STATUS,
    Build,
    compile_error,
    digest,
    new_harness,
)
from verify.simulation.cache import BuildCache
from verify.simulation.crew import Crew, Tool
from verify.simulation.harness import verilator_harness
from verify.simulation.interface import Target
from verify.simulation.layout import WORD_BITS, Layout
from verify.simulation.limits import Limits
from verify.simulation.native_runtime import (
    ALWAYS,
    FLAGS,
    OPTIMISATION,
    SELDOM,
    NativeTools,
    Runtime,
    find_native_tools,
)
from verify.simulation.records import COUNT_BITS, EARLY, TAG_BEAT, TAG_END
from verify.simulation.sources import SourceSet
from verify.simulation.timing import ACTIVE_PS, DRIVE_ONLY_PS, DRIVE_PS, PERIOD_PS, SAMPLE_PS

__all__ = ["build_verilator"]

PLAYER = Path(__file__).parent / "native" / "player.cpp"
LANGUAGES = ("1800-2017", "1364-2005")


def build_verilator(
    target: Target, sources: SourceSet, cache: BuildCache, limits: Limits, crew: Crew
) -> Build:
    """Compile, or find compiled. Raises DesignError, ToolError."""
    tools = find_native_tools()
    runtime = Runtime(tools, cache, limits, crew)
    ours = [verilator_harness(target, "everyedge"), _config(target)]
    ours += [path.read_text() for path in (PLAYER, Path(__file__))]
    name = "everyedge_" + digest(tools.identity, FLAGS, ours, sources.digest, target.defines)
    if not sources.complete:
        name += "_" + secrets.token_hex(8)  # what it depends on is not known: never found again
    entry = cache.get(
        name, lambda folder: _Builder(tools, runtime, folder, limits, crew).build(target, sources)
    )
    return Build((str(entry / "simulator"),))


@dataclass(frozen=True, slots=True)
class _Builder:
    tools: NativeTools
    runtime: Runtime
    folder: Path
    limits: Limits
    crew: Crew

    def build(self, target: Target, sources: SourceSet) -> None:
        """The runtime is compiled beside the design, where it is not there yet."""
        with ThreadPoolExecutor(len(ALWAYS) + 1) as pool:
            try:
                header = pool.submit(self.runtime.header)
                parts = [pool.submit(self.runtime.part, name) for name in ALWAYS]
                seldom = self._verilate(target, sources)
                parts += [pool.submit(self.runtime.part, name) for name in seldom]
                self._compile(header.result())
                self._link([part.result() for part in parts])
            except BaseException as error:
                # A design that does not compile stops nobody's runtime; whoever wants out does.
                if not isinstance(error, Exception):
                    self.crew.stop()
                raise
        (self.folder / "all.o").unlink()

    def _verilate(self, target: Target, sources: SourceSet) -> list[str]:
        """Translate to C++; the seldom parts of the runtime that the result says it needs."""
        harness = self.folder / "harness.v"
        name = new_harness(self.folder)
        harness.write_text(verilator_harness(target, name))
        (self.folder / "player_config.h").write_text(_config(target))
        options = [
            "--cc", "--timing", "--x-assign", "unique", "--x-initial", "unique",
            "-Wno-fatal", "-Wno-lint", "--timescale", "1ns/1ps",
            "--Mdir", str(self.folder / "model"), "--prefix", "Vdesign", "--top-module", name,
        ]  # fmt: skip
        options += [f"-I{folder}" for folder in sources.include]
        options += [f"-D{key}={value}" if value else f"-D{key}" for key, value in target.defines]
        files = [str(harness), *map(str, sources.laid_out(self.folder))]
        first: Tool | None = None
        for language in LANGUAGES:
            tool = self._run([self.tools.program, "--default-language", language, *options, *files])
            if tool.status == 0:
                sources.require_unchanged()
                text = "".join(path.read_text() for path in (self.folder / "model").glob("*.h"))
                return [name for name in SELDOM if f'"{name}.h"' in text]
            first = first or tool
            if "syntax error" not in tool.output:
                break
        assert first is not None  # noqa: S101 -- the loop ran
        raise compile_error("Verilator", first.output, (harness,))

    def _compile(self, header: Path) -> None:
        """One compilation of the design and the player, with the runtime's header precompiled."""
        model, whole = self.folder / "model", self.folder / "all.cpp"
        parts = [f'#include "{path}"' for path in sorted(model.glob("*.cpp"))]
        whole.write_text("\n".join(['#include "common.h"', *parts, f'#include "{PLAYER}"\n']))
        folders = [f"-I{folder}" for folder in (header, self.folder, model)]
        options = [OPTIMISATION, *FLAGS, *folders, *self.tools.include]
        tool = self._run([self.tools.compiler, *options, "-c", "all.cpp", "-o", "all.o"])
        if tool.status != 0:
            raise ToolError(f"cannot compile the verilated design: {tool.output[:1000]}")
        for path in [*model.iterdir(), whole]:
            path.unlink()

    def _link(self, objects: list[Path]) -> None:
        command = [self.tools.compiler, "-pthread", "all.o", "-o", "simulator"]
        tool = self._run([*command, *map(str, objects)])
        if "undefined reference" in tool.output:
            rest = [self.runtime.part(name) for name in SELDOM]
            tool = self._run([*command, *map(str, dict.fromkeys([*objects, *rest]))])
        if tool.status != 0:
            raise ToolError(f"cannot link the verilated design: {tool.output[:1000]}")

    def _run(self, command: list[str]) -> Tool:
        env = {
            "VERILATOR_ROOT": str(self.tools.root),
            "PATH": "/usr/local/bin:/usr/bin:/bin",
            "LANG": "C.UTF-8",
        }
        return self.crew.run(command, directory=self.folder, limits=self.limits, env=env)


def _config(target: Target) -> str:
    inputs, outputs = Layout.of(target.inputs), Layout.of(target.outputs)
    top_bits = (inputs.bits - 1) % WORD_BITS + 1
    values = {
        "INPUT_WORDS": inputs.words,
        "INPUT_TOP_MASK": f"{(1 << top_bits) - 1}u",
        "OUTPUT_WORDS": outputs.words,
        "COUNT_BITS": COUNT_BITS,
        "EARLY": EARLY,
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
