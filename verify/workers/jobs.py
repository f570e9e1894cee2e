"""What a worker is given, and what it gives back: plain values that travel between processes."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from verify.checks.settings import Settings
from verify.errors import EveryedgeError, Place, SimulationFault

__all__ = ["BenchJob", "Job", "Limits", "Trouble", "trouble_of"]


class Job(Protocol):
    """Something to be done in a process of its own; it and its outcome can be pickled."""

    def run(self) -> Any:
        """Do it. Errors of :mod:`verify.errors` become a :class:`Trouble`."""
        ...


@dataclass(frozen=True, slots=True)
class Limits:
    """``seconds`` of wall time until the process is ended; ``memory_bytes`` of its address space."""

    seconds: float | None = None
    memory_bytes: int = 6 << 30


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why a job came to no result.

    ``kind``: that of the error, or ``limit`` (it used up its time), ``died`` (its process ended by
    itself), ``cancelled``.
    """

    kind: str
    message: str
    place: Place | None = None
    advice: str | None = None
    log: str = ""

    @property
    def error(self) -> EveryedgeError:
        """The same as an error that can be shown."""
        if self.log:
            return SimulationFault(self.kind, self.message, log=self.log, advice=self.advice)
        error = EveryedgeError(self.message, place=self.place, advice=self.advice)
        error.kind = self.kind
        return error


def trouble_of(error: EveryedgeError) -> Trouble:
    """An error as a value that can be pickled, which not every error can."""
    log = error.log if isinstance(error, SimulationFault) else ""
    return Trouble(error.kind, error.message, error.place, error.advice, log)


@dataclass(frozen=True, slots=True)
class BenchJob:
    """Some or all checks of a bench file."""

    bench: Path
    settings: Settings = field(default_factory=Settings)

    def run(self) -> Any:
        """The :class:`verify.results.RunResult`."""
        from verify.checks import check_bench  # noqa: PLC0415 -- the engine, in the worker alone

        return check_bench(self.bench, self.settings)
