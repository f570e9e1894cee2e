"""The child process that holds the simulator, and the pipes to it."""

from __future__ import annotations

import contextlib
import fcntl
import functools
import os
import socket
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import psutil  # type: ignore[import-untyped,unused-ignore]

from verify.errors import ToolError
from verify.process_family import end_family, family_of
from verify.simulation.building import Build
from verify.simulation.icarus import cocotb_folder
from verify.simulation.limits import Limits
from verify.simulation.sandbox import limited, walls
from verify.simulation.scratch import Scratch

__all__ = ["Child"]

CHILD_FOLDER = Path(__file__).parent / "child"
PIPE_BYTES = 1 << 20
KNOWN_COCOTB = "2.1."
"""Versions whose inner start is known; others start through cocotb's regression runner."""
LOG_TAIL_BYTES = 4000


class Child:
    """A running simulator; ``stimulus`` and ``trace`` are our ends of the pipes."""

    def __init__(self, build: Build, scratch: Scratch, limits: Limits) -> None:
        self._log = scratch.log
        self._begun = 0
        self._reports = b""
        prefix, self.sandbox = walls(scratch.path, scratch.directory)
        with contextlib.ExitStack() as theirs, contextlib.ExitStack() as ours:
            stimulus, self.stimulus = os.pipe()
            self.trace, trace = os.pipe()
            lifeline, self._lifeline = os.pipe()
            self._commands, commands = socket.socketpair()
            for descriptor in (stimulus, trace, lifeline):
                theirs.callback(os.close, descriptor)
            theirs.callback(commands.close)
            ours.callback(self._close_pipes)
            for pipe in (self.stimulus, self.trace):
                os.set_blocking(pipe, False)
                with contextlib.suppress(OSError, AttributeError):  # the user's share may be used up
                    fcntl.fcntl(pipe, fcntl.F_SETPIPE_SZ, PIPE_BYTES)
            ends = (f"+everyedge_stimulus=/dev/fd/{stimulus}", f"+everyedge_trace=/dev/fd/{trace}")
            env = _environment(scratch.directory, build.harness) | {
                "EVERYEDGE_COMMANDS": str(commands.fileno()),
                "EVERYEDGE_LIFELINE": str(lifeline),
            }
            log = os.open(scratch.log, os.O_CREAT | os.O_WRONLY | os.O_APPEND, 0o600)
            theirs.callback(os.close, log)
            self._process = subprocess.Popen(  # noqa: S603 -- our own command, never a shell of the user's
                limited((*prefix, *build.command, *ends), limits),
                cwd=scratch.directory,
                env=env,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                pass_fds=(stimulus, trace, lifeline, commands.fileno()),
                start_new_session=True,
                # SIGXFSZ stays ignored: a design that prints too much loses output, not its life.
                restore_signals=False,
            )
            ours.pop_all()

    def begin(self) -> None:
        """Start a burst. Raises OSError when the child is gone."""
        self._collect()
        self._commands.send(b"p")
        self._begun += 1

    def started(self) -> bool:
        """Whether the command loop has reported."""
        self._collect()
        return self._reports.startswith(b"h")

    def finished(self) -> bool:
        """Whether the command loop has seen the end of every burst begun."""
        self._collect()
        return len(self._reports) == 1 + self._begun

    def _collect(self) -> None:
        with contextlib.suppress(OSError):
            self._reports += self._commands.recv(4096, socket.MSG_DONTWAIT)

    def status(self) -> int:
        """Exit status of an ending child: negative for a signal."""
        try:
            status = self._process.wait(5)
        except subprocess.TimeoutExpired:
            self.kill()
            status = self._process.wait()
        return 128 - status if status > 128 else status  # as shells and bubblewrap report a signal

    def cpu_seconds(self) -> float:
        """Processor time that the child and all below it have used."""
        total = 0.0
        for process in family_of(self._process):
            with contextlib.suppress(psutil.Error):
                times = process.cpu_times()
                total += times.user + times.system
        return total

    def log_tail(self) -> str:
        """The last lines that the simulator printed."""
        try:
            with self._log.open("rb") as log:
                log.seek(max(0, self._log.stat().st_size - LOG_TAIL_BYTES))
                return log.read(LOG_TAIL_BYTES).decode(errors="replace").strip()
        except OSError:
            return ""

    def kill(self) -> None:
        """End the child and everything it started; safe to call twice."""
        end_family(self._process)

    def close(self) -> None:
        """Kill, and close the pipes; safe to call twice."""
        if self._process.returncode is None:
            self.kill()
        self._close_pipes()

    def _close_pipes(self) -> None:
        for name in ("stimulus", "trace", "_lifeline"):
            if getattr(self, name) >= 0:
                os.close(getattr(self, name))
                setattr(self, name, -1)
        self._commands.close()


@functools.lru_cache
def python_library() -> str:
    import find_libpython  # noqa: PLC0415 -- needed only once a simulator starts

    path = find_libpython.find_libpython()
    if path is None:
        raise ToolError(
            "cocotb needs Python's shared library, and there is none",
            advice="apt-get install python3-dev, or use a Python that was built with --enable-shared",
        )
    return str(path)


def _environment(home: Path, harness: str | None) -> dict[str, str]:
    """A clean environment: nothing of the user's shell reaches the design."""
    common = {
        "HOME": str(home),
        "LANG": "C.UTF-8",
        "PATH": "/usr/local/bin:/usr/bin:/bin",
        "TMPDIR": str(home),
    }
    return common if harness is None else common | _cocotb_environment(harness)


def _cocotb_environment(harness: str) -> dict[str, str]:
    cocotb = cocotb_folder()
    simulator = next(iter(sorted(cocotb.glob("simulator.*so"))), None)
    if simulator is None:
        raise ToolError(f"cocotb in {cocotb} is not complete", advice="pip install --force-reinstall cocotb")
    common = {
        "COCOTB_TOPLEVEL": harness,
        "GPI_LOG_LEVEL": "ERROR",
        "GPI_USERS": f"{python_library()};{simulator},initialize",
        "COCOTB_LOG_LEVEL": "ERROR",
        "PYGPI_PYTHON_BIN": sys.executable,
        "PYTHONPATH": os.pathsep.join([str(CHILD_FOLDER), str(cocotb.parent)]),
        "PYTHONSAFEPATH": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
        "TOPLEVEL_LANG": "verilog",
    }
    if version("cocotb").startswith(KNOWN_COCOTB):
        steps = "everyedge_child:prepare,cocotb._init:init_package_from_simulation,everyedge_child:start"
        return common | {"PYGPI_USERS": steps, "EVERYEDGE_SHORT_START": "1"}
    return common | {"COCOTB_TEST_MODULES": "everyedge_child_test", "COCOTB_RESULTS_FILE": "results.xml"}
