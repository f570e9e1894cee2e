"""Checks as jobs of a pool of workers. Importing it loads no engine: the workers do."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from verify.checks.settings import Settings
from verify.results import CheckResult
from verify.workers import Tell

__all__ = ["CheckJob", "ReadJob"]


@dataclass(frozen=True, slots=True)
class ReadJob:
    """See whether a bench can be run."""

    bench: Path
    settings: Settings

    def run(self, tell: Tell) -> tuple[str, ...]:
        """The names of the checks that are wanted. Raises BenchError, DesignError."""
        from verify.checks.bench_run import ready_checks  # noqa: PLC0415 -- the engine, in the worker alone

        del tell
        return tuple(plan.check.name for plan in ready_checks(self.bench, self.settings))


@dataclass(frozen=True, slots=True)
class CheckJob:
    """One check of a bench file. It tells what a listener hears: (method, arguments)."""

    bench: Path
    name: str
    settings: Settings

    def run(self, tell: Tell) -> CheckResult:
        """Its result. Raises BenchError, DesignError, ToolError for what cannot be started."""
        from verify.checks.bench_run import ready_checks, run_ready  # noqa: PLC0415 -- as above

        (plan,) = ready_checks(self.bench, replace(self.settings, only=(self.name,)))
        return run_ready(plan, self.bench, self.settings, _Voice(tell))


class _Voice:
    """A listener that passes on what it hears."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell

    def check_started(self, name: str, expected_clocks: int | None) -> None:
        self._tell(("check_started", (name, expected_clocks)))

    def stage(self, name: str, text: str) -> None:
        self._tell(("stage", (name, text)))

    def clocks(self, name: str, done: int, total: int | None) -> None:
        self._tell(("clocks", (name, done, total)))

    def check_finished(self, result: CheckResult) -> None:
        """Told by whoever asked, in the order of the bench."""
