"""Tools that run side by side, and end together."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import tempfile
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from verify.errors import ToolError
from verify.simulation.building import MEMORY_WORDS
from verify.simulation.limits import Limits
from verify.simulation.sandbox import limited_build

__all__ = ["Crew", "Tool"]

MOST_OUTPUT_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class Tool:
    """The outcome of a tool that was run: its exit status and what it printed."""

    status: int
    output: str


class Crew:
    """Runs compilers, from any thread; :meth:`stop` ends all of them at once."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._running: set[int] = set()
        self._stopped = False

    def run(
        self,
        command: Sequence[str],
        *,
        directory: Path,
        limits: Limits,
        env: Mapping[str, str] | None = None,
    ) -> Tool:
        """Run a compiler to its end, without input, in its own process group, within limits.

        Raises ToolError when it takes too long or too much memory, and when the crew has been stopped.
        """
        name = Path(command[0]).name
        with (
            tempfile.TemporaryFile() as printed,
            self._started(limited_build(tuple(command), limits), directory, env, printed) as process,
        ):
            try:
                status = process.wait(limits.build_seconds)
            except BaseException as error:
                _kill(process.pid)
                if isinstance(error, subprocess.TimeoutExpired):
                    raise _too_much(name, f"in {limits.build_seconds:g} s") from None
                raise
            finally:
                with self._lock:
                    self._running.discard(process.pid)
            printed.seek(0)
            output = printed.read(MOST_OUTPUT_BYTES).decode(errors="replace")
        if self._stopped:
            raise ToolError("the build was stopped")
        if status != 0 and any(word in output for word in MEMORY_WORDS):
            raise _too_much(name, f"in {limits.memory_bytes >> 20:,} MB of memory")
        return Tool(status, output)

    def _started(
        self, command: Sequence[str], directory: Path, env: Mapping[str, str] | None, printed: IO[bytes]
    ) -> subprocess.Popen[bytes]:
        with self._lock:
            if self._stopped:
                raise ToolError("the build was stopped")
            process = subprocess.Popen(  # noqa: S603 -- a fixed tool, never a shell
                command,
                cwd=directory,
                env=env,
                stdin=subprocess.DEVNULL,
                stdout=printed,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
            self._running.add(process.pid)
        return process

    def stop(self) -> None:
        """End what runs, and start nothing any more; safe to call twice."""
        with self._lock:
            self._stopped = True
            for pid in self._running:
                _kill(pid)


def _too_much(name: str, what: str) -> ToolError:
    return ToolError(
        f"{name} did not finish building the design {what}",
        advice="is a generate loop or a memory of the design far larger than meant?",
    )


def _kill(group: int) -> None:
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(group, signal.SIGKILL)
