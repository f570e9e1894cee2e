"""Make sure, before this process reads a design, that reading it comes to an end.

A few lines of macros or generate loops can grow without bounds, and the reader is C++ that nothing
interrupts. A child with limits reads each new design first; one that was read before is known by
its content.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

from verify.bench import Bench
from verify.bench.overrides import defines_of, include_folders
from verify.bench.schema import Check, DesignTable
from verify.errors import DesignError, EveryedgeError, Place
from verify.simulation.building import digest
from verify.simulation.cache import cache_directory
from verify.simulation.interface import Target
from verify.simulation.limits import Limits
from verify.simulation.sandbox import limited
from verify.simulation.sources import read_sources

__all__ = ["MEMORY_BYTES", "SECONDS", "require_readable", "require_readable_files"]

SECONDS = 30
MEMORY_BYTES = 3 << 30
"""Processor time and address space of the child; usual designs take a tenth of a second."""

_MOST_MARKS = 4000


def require_readable_files(verilog: Sequence[Path]) -> None:
    """The same for files that have no bench yet."""
    files = tuple(verilog)
    design = DesignTable(sources=tuple(map(str, files)))
    check = Check(name="none", model="none", ports={"none": "none"})
    require_readable(Bench(None, Path(), design, files, (), None, None, (check,)))


def require_readable(bench: Bench, *, seconds: int = SECONDS, memory_bytes: int = MEMORY_BYTES) -> None:
    """Raise DesignError for a design that exhausts its reader."""
    readings = _readings(bench)
    mark = _mark(bench, readings)
    if mark is not None and mark.exists():
        return
    limits = Limits(memory_bytes=memory_bytes, cpu_seconds=seconds, log_bytes=1 << 20)
    command = limited((sys.executable, "-m", "verify.design.trial"), limits)
    with subprocess.Popen(  # noqa: S603 -- our own command
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        start_new_session=True,
    ) as child:
        try:
            # Far more than the processor time: others may want the processor, too.
            _, printed = child.communicate(json.dumps(readings).encode(), timeout=4 * seconds)
        except BaseException as error:
            os.killpg(child.pid, signal.SIGKILL)
            if isinstance(error, subprocess.TimeoutExpired):
                raise _exhausted(bench, f"in {4 * seconds} s") from None
            raise
    if child.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        raise _exhausted(bench, f"in {seconds} s of processor time")
    if child.returncode != 0 and _out_of_memory(child.returncode, printed):
        raise _exhausted(bench, f"in {memory_bytes >> 20:,} MB of memory")
    if child.returncode == 0 and mark is not None:
        _keep(mark)


def _exhausted(bench: Bench, what: str) -> DesignError:
    return DesignError(
        f"the Verilog cannot be read {what}",
        place=Place(bench.files[0]),
        advice="look for macros that use each other again and again, files that include themselves, and "
        "generate loops or arrays of instances far larger than meant",
    )


def _out_of_memory(status: int, printed: bytes) -> bool:
    # A child that failed for another reason is no verdict on the design: the reading itself will tell.
    return status < 0 or any(word in printed for word in (b"MemoryError", b"bad_alloc", b"memory"))


def _readings(bench: Bench) -> list[dict[str, object]]:
    common: dict[str, object] = {
        "sources": [str(file) for file in bench.files],
        "include": list(map(str, include_folders(bench))),
        "defines": defines_of(bench),
    }
    found: list[dict[str, object]] = []
    for check in bench.checks:
        literals = {name: int(v) for name, v in check.parameters.items() if isinstance(v, (bool, int))}
        found.append({**common, "top": check.module or bench.design.top, "parameters": literals})
    return [reading for index, reading in enumerate(found) if reading not in found[:index]]


def _mark(bench: Bench, readings: list[dict[str, object]]) -> Path | None:
    """The file that says that this content was read; None when there can be none."""
    target = Target(bench.files, "", None, (), (), include=bench.include, directory=bench.directory)
    try:
        sources = read_sources(target)
    except EveryedgeError:
        return None
    if not sources.complete:
        return None
    asked = [(r["top"], r["parameters"], r["defines"]) for r in readings]
    name = digest(version("pyslang"), version("everyedge"), sources.digest, asked)
    return cache_directory() / ".readable" / name


def _keep(mark: Path) -> None:
    with contextlib.suppress(OSError):
        mark.parent.mkdir(exist_ok=True)
        mark.touch()
        marks = list(mark.parent.iterdir())
        if len(marks) > _MOST_MARKS:
            for old in sorted(marks, key=lambda path: path.stat().st_mtime)[: _MOST_MARKS // 4]:
                old.unlink(missing_ok=True)
