"""What the benchmarks found, line by line, and the machine that they found it on."""

from __future__ import annotations

import os
import platform
import subprocess
import sys
from pathlib import Path

__all__ = ["LINES", "machine", "write"]

LINES: list[str] = []


def machine() -> str:
    """Processor, their number, system, and the versions that matter."""
    cpu = next(
        (
            line.partition(":")[2].strip()
            for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
            if line.startswith("model name")
        ),
        platform.machine(),
    )
    icarus = subprocess.run(["iverilog", "-V"], capture_output=True, text=True, check=False).stdout.split(
        "\n"
    )[0]
    load = os.getloadavg()[0]
    return (
        f"{len(os.sched_getaffinity(0))} x {cpu}, {platform.system()} {platform.release()}, "
        f"Python {platform.python_version()}, {icarus}; load {load:.1f} at the end"
    )


def write() -> None:
    """Print it, and keep it beside the other results."""
    text = "\n".join([machine(), "", *LINES])
    folder = Path(".everyedge")
    folder.mkdir(exist_ok=True)
    (folder / "benchmarks.md").write_text(text + "\n", encoding="utf-8")
    sys.stdout.write(f"\n\n{text}\n")
