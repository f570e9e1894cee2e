"""Tools that run side by side, and end together."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from verify.errors import ToolError

__all__ = ["Crew", "Tool"]


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
        seconds: float,
        env: Mapping[str, str] | None = None,
    ) -> Tool:
        """Run a compiler to its end, without input, in its own process group, within a time limit.

        Raises ToolError when it takes too long, and when the crew has been stopped.
        """
        with self._started(command, directory, env) as process:
            try:
                output, _ = process.communicate(timeout=seconds)
            except BaseException as error:
                _kill(process.pid)
                if isinstance(error, subprocess.TimeoutExpired):
                    raise ToolError(
                        f"{Path(command[0]).name} did not finish building the design in {seconds:g} s",
                        advice="is a generate loop or a memory of the design far larger than meant?",
                    ) from None
                raise
            finally:
                with self._lock:
                    self._running.discard(process.pid)
        if self._stopped:
            raise ToolError("the build was stopped")
        return Tool(process.returncode, output.decode(errors="replace"))

    def _started(
        self, command: Sequence[str], directory: Path, env: Mapping[str, str] | None
    ) -> subprocess.Popen[bytes]:
        with self._lock:
            if self._stopped:
                raise ToolError("the build was stopped")
            process = subprocess.Popen(  # noqa: S603 -- a fixed tool, never a shell
                command,
                cwd=directory,
                env=env,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
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


def _kill(group: int) -> None:
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(group, signal.SIGKILL)
