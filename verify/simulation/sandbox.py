"""The walls around the simulator: bubblewrap where it works, limits and a clean environment always."""

from __future__ import annotations

import functools
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

from verify.simulation.limits import Limits

__all__ = ["limited", "limited_build", "walls"]

FILES = 512
"""Open files of one process."""

PROCESSES = 8192
"""Of the whole user: it stops a fork bomb, and must not stop anybody else's work."""


@functools.lru_cache
def bubblewrap() -> tuple[str, ...]:
    """The bubblewrap call that works here; () when none does (not installed, or not permitted)."""
    program = shutil.which("bwrap")
    if program is None:
        return ()
    call = (
        program, "--unshare-pid", "--unshare-net", "--unshare-ipc", "--unshare-uts", "--cap-drop", "ALL",
        "--ro-bind", "/", "/", "--dev", "/dev",
    )  # fmt: skip
    # A container may forbid a /proc of one's own.
    for proc in (("--proc", "/proc"), ("--ro-bind", "/proc", "/proc")):
        probe = [*call, *proc, "test", "-e", "/dev/fd/0"]
        done = subprocess.run(probe, stdin=subprocess.DEVNULL, capture_output=True, check=False)  # noqa: S603
        if done.returncode == 0:
            return (*call, *proc)
    return ()


def limited_build(command: tuple[str, ...], limits: Limits) -> tuple[str, ...]:
    """A compiler under resource limits: what it makes may be as large as its memory."""
    seconds = int(limits.build_seconds) + 1
    return limited(command, replace(limits, log_bytes=limits.memory_bytes, cpu_seconds=seconds))


def walls(scratch: Path, directory: Path) -> tuple[tuple[str, ...], str]:
    """Command prefix that lets only ``scratch`` be written, and a description of what it does."""
    call = bubblewrap()
    if not call:
        return (), "own process group, resource limits, scratch folder, clean environment"
    inside = (*call, "--bind", str(scratch), str(scratch), "--chdir", str(directory), "--")
    return inside, "bubblewrap: no network, read-only file system, own process space; resource limits"


def limited(command: tuple[str, ...], limits: Limits) -> tuple[str, ...]:
    """The command under resource limits; no file that it writes gets larger than the log may.

    Set by a shell that then becomes the command: setting them between fork and exec in Python is
    neither safe in a threaded program nor fast.
    """
    bounds = {
        "v": limits.memory_bytes // 1024,
        "t": limits.cpu_seconds,
        "f": limits.log_bytes // 512,
        "c": 0,
        "n": FILES,
        "u": PROCESSES,
        "p": PROCESSES,  # what dash calls -u; other shells refuse it
    }
    script = "".join(f"ulimit -S -{flag} {bound} 2>/dev/null || :; " for flag, bound in bounds.items())
    return ("/bin/sh", "-c", script + 'exec "$@"', "sh", *command)
