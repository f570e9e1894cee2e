"""What a worker is given, and what it gives back: plain values that travel between processes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from verify.errors import EveryedgeError

__all__ = ["NO_LIMITS", "Job", "Limits", "Tell", "Trouble"]

Tell = Callable[[Any], None]
"""Sends word to whoever added the job, while it is being done."""


class Job(Protocol):
    """Something to be done in a process of its own; it and its outcome can be pickled."""

    def run(self, tell: Tell) -> Any:
        """Do it. An error that it raises is its outcome."""
        ...


@dataclass(frozen=True, slots=True)
class Limits:
    """``seconds`` of wall time until the process is ended; ``memory_bytes`` of its address space.

    None: as much as there is.
    """

    seconds: float | None = None
    memory_bytes: int | None = 6 << 30


NO_LIMITS = Limits(memory_bytes=None)
"""For jobs that limit themselves, as checks limit their simulators."""


class Trouble(EveryedgeError):
    """Why a job came to no result, other than by an error of its own.

    ``kind``: ``limit`` (it used up its time or memory), ``died`` (its process ended by itself, or
    was ended from outside), ``cancelled``.
    """

    def __init__(self, kind: str, message: str, *, advice: str | None = None) -> None:
        super().__init__(message, advice=advice)
        self.kind = kind
