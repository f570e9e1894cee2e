"""What both simulators' builds share: keys, finding a tool, and its messages."""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from verify.errors import DesignError, Place, ToolError

__all__ = [
    "FATAL_STATUS",
    "MEMORY_WORDS",
    "UNSETTLED_STATUS",
    "Build",
    "compile_error",
    "digest",
    "find_tool",
    "harness_of",
    "new_harness",
    "tool_identity",
]

HARNESS = "harness_name"
MEMORY_WORDS = ("bad_alloc", "out of memory", "Out of memory", "Cannot allocate", "MemoryError")
"""How programs say that there is no more memory."""
FATAL_STATUS = 12
UNSETTLED_STATUS = 13
"""How the native player reports what it cannot go on with; a combinational loop is the second."""
MESSAGE = re.compile(
    r"^(?:%\w+(?:-\w+)?: )?(?P<file>[^:\n]+):(?P<line>\d+):(?:(?P<column>\d+):)? *(?P<text>.*)$", re.M
)


@dataclass(frozen=True, slots=True)
class Build:
    """A design ready to run.

    ``command`` starts it. ``harness``: the name of its top module, where cocotb holds the command
    loop; None: the program holds it itself.
    """

    command: tuple[str, ...]
    harness: str | None = None


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
