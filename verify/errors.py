"""The one tree of errors that reach a user.

Every error says what was found, what was expected and what to do, with file and line where there
is one; all of it is also there as attributes.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

__all__ = [
    "BenchError",
    "DesignError",
    "EveryedgeError",
    "Place",
    "SimulationFault",
    "ToolError",
]


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a file: ``line`` and ``column`` count from 1; None when only the file is known."""

    file: Path
    line: int | None = None
    column: int | None = None
    source: str | None = None
    """The text of that line."""

    def __str__(self) -> str:
        parts = [str(self.file), *(str(n) for n in (self.line, self.column) if n is not None)]
        return ":".join(parts)

    @property
    def in_short(self) -> str:
        """The name of the file, and the line if it is known: ``timer.v:12``."""
        return self.file.name if self.line is None else f"{self.file.name}:{self.line}"


class EveryedgeError(Exception):
    """``kind`` is a stable word for machines; ``advice`` says what to do next."""

    kind = "error"

    def __init__(self, message: str, *, place: Place | None = None, advice: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.place = place
        self.advice = advice

    def __reduce__(self) -> tuple[Any, ...]:
        """Travels whole between processes, whatever its class wants to be made of."""
        return _revived, (type(self), self.args), self.__dict__


def _revived(kind: type[EveryedgeError], args: tuple[object, ...]) -> EveryedgeError:
    error = kind.__new__(kind)
    error.args = args
    return error


class BenchError(EveryedgeError):
    """The bench file is not one that can be checked: exit status 2."""

    kind = "bench"


class DesignError(EveryedgeError):
    """The Verilog does not compile, or not the module that was asked for: exit status 2."""

    kind = "design"


class ToolError(EveryedgeError):
    """Something on this machine is missing or does not work: exit status 2."""

    kind = "tool"


class SimulationFault(EveryedgeError):
    """The simulation did not give the trace that was asked for: never a pass.

    ``fault``: ``hang`` (no answer within the limit, zero-delay loop), ``early_end`` (``$finish`` or
    ``$stop`` inside the design), ``crash`` (the simulator died), ``limit`` (memory, output or time
    used up), ``bad_trace`` (an answer that is not the trace that was asked for). ``cycle``: how far
    it is known to have come. ``log``: the last lines that the simulator printed.
    """

    kind = "simulation"

    def __init__(
        self, fault: str, message: str, *, cycle: int | None = None, log: str = "", advice: str | None = None
    ) -> None:
        super().__init__(message, advice=advice)
        self.fault = fault
        self.cycle = cycle
        self.log = log
