"""A process together with everything that it has started."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess

import psutil  # type: ignore[import-untyped,unused-ignore]

__all__ = ["end_family", "family_of"]


def family_of(process: subprocess.Popen[bytes]) -> list[psutil.Process]:
    """The process and all below it; empty when it has ended."""
    if process.poll() is None:
        with contextlib.suppress(psutil.Error):
            first = psutil.Process(process.pid)
            return [first, *first.children(recursive=True)]
    return []


def end_family(process: subprocess.Popen[bytes]) -> None:
    """Kill the process, its group and all below it, and wait for it; safe to call twice."""
    family = family_of(process)
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(process.pid, signal.SIGKILL)
    for member in family:
        with contextlib.suppress(psutil.Error):
            member.kill()
    process.wait()
