"""What both simulators' builds share: keys, running a tool, and its messages."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from verify.errors import DesignError, Place, ToolError
from verify.simulation.limits import Limits
from verify.simulation.sandbox import limited_build

__all__ = [
    "FATAL_STATUS",
    "MEMORY_WORDS",
    "UNSETTLED_STATUS",
    "Build",
    "Tool",
    "compile_error",
    "digest",
    "find_tool",
    "harness_of",
    "new_harness",
    "run_tool",
    "tool_identity",
]

HARNESS = "harness_name"
MEMORY_WORDS = ("bad_alloc", "out of memory", "Out of memory", "Cannot allocate", "MemoryError")
"""How programs say that there is no more memory."""
MOST_OUTPUT_BYTES = 1 << 20
FATAL_STATUS = 12
UNSETTLED_STATUS = 13
"""How the native player reports what it cannot go on with; a combinational loop is the second."""
MESSAGE = re.compile(
    r"^(?:%\w+(?:-\w+)?: )?(?P<file>[^:\n]+):(?P<line>\d+):(?:(?P<column>\d+):)? *(?P<text>.*)$", re.M
)


@dataclass(frozen=True, slots=True)
class Build:
    """A design ready to run: ``command`` starts it, ``harness`` is the name of its top module."""

    command: tuple[str, ...]
    harness: str


@dataclass(frozen=True, slots=True)
class Tool:
    """The outcome of a tool that was run: its exit status and what it printed."""

    status: int
    output: str


def digest(*parts: object) -> str:
    """A name for this content, usable in Verilog and as a file name."""
    return hashlib.sha256("\0".join(map(str, parts)).encode(errors="surrogateescape")).hexdigest()[:24]


def new_harness(folder: Path) -> str:
    """A name for the top module of a build, which no design can know; kept in the build's folder."""
    name = "h" + secrets.token_hex(8)
    (folder / HARNESS).write_text(name)
    return name


def harness_of(folder: Path) -> str:
    """The name of the top module of a build that was made before."""
    return (folder / HARNESS).read_text()


def tool_identity(*paths: str) -> str:
    """Which build of the tools this is, without starting them."""
    stats = [(os.path.realpath(p), os.stat(p)) for p in paths]  # noqa: PTH116 -- paths from which()
    return repr([(real, s.st_size, s.st_mtime_ns) for real, s in stats])


def find_tool(name: str, advice: str) -> str:
    """Path of an executable. Raises ToolError with ``advice`` when it is not there."""
    path = shutil.which(name)
    if path is None:
        raise ToolError(f"{name} is not installed (not found on PATH)", advice=advice)
    return path


def run_tool(
    command: Sequence[str], *, directory: Path, limits: Limits, env: Mapping[str, str] | None = None
) -> Tool:
    """Run a compiler to its end, without input, in its own process group, within limits.

    Raises ToolError when it takes too long or too much memory.
    """
    name = Path(command[0]).name
    with (
        tempfile.TemporaryFile() as printed,
        subprocess.Popen(  # noqa: S603 -- a fixed tool, never a shell of the user's
            limited_build(tuple(command), limits),
            cwd=directory,
            env=env,
            stdin=subprocess.DEVNULL,
            stdout=printed,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        ) as process,
    ):
        try:
            status = process.wait(limits.build_seconds)
        except BaseException as error:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            if isinstance(error, subprocess.TimeoutExpired):
                raise _too_much(name, f"in {limits.build_seconds:g} s") from None
            raise
        printed.seek(0)
        output = printed.read(MOST_OUTPUT_BYTES).decode(errors="replace")
    if status != 0 and any(word in output for word in MEMORY_WORDS):
        raise _too_much(name, f"in {limits.memory_bytes >> 20:,} MB of memory")
    return Tool(status, output)


def _too_much(name: str, what: str) -> ToolError:
    return ToolError(
        f"{name} did not finish building the design {what}",
        advice="is a generate loop or a memory of the design far larger than meant?",
    )


def compile_error(tool: str, output: str, own_files: Sequence[Path]) -> DesignError:
    """The first error among a compiler's messages, with its place and source line."""
    messages = [m for m in MESSAGE.finditer(output) if "warning" not in m[0].lower()]
    outside = [m for m in messages if Path(m["file"]) not in own_files]
    others = len(outside) - 1
    more = f" (and {others} more)" if others > 0 else ""
    if outside:
        first = outside[0]
        file, line = Path(first["file"]), int(first["line"])
        text = first["text"].removeprefix("error:").strip()
        column = int(first["column"]) if first["column"] else None
        return DesignError(
            f"{tool} cannot compile the design: {text}{more}",
            place=Place(file, line, column, _line(file, line)),
        )
    text = messages[0]["text"].removeprefix("error:").strip() if messages else output.strip()[-1000:]
    return DesignError(f"{tool} cannot compile the design: {text}")


def _line(file: Path, line: int) -> str | None:
    try:
        return file.read_text(errors="replace").splitlines()[line - 1]
    except (OSError, IndexError):
        return None
