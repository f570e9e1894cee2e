"""What this room asks of whoever can run a check, and what it is told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from verify.results import Explanation, Failure

__all__ = ["Laboratory", "NativeRun", "ShortRun"]


@dataclass(frozen=True, slots=True, eq=False)
class ShortRun:
    """A few short bursts at one value of the clock parameter.

    ``agrees`` None: nothing was compared (the design cannot be built at that value, the simulation
    ended early); ``text`` says why, or what differed. ``cycles`` compared.
    """

    value: int
    agrees: bool | None
    cycles: int = 0
    text: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class NativeRun:
    """One native second, and the first two terminal counts, compared on every edge.

    ``agrees`` None: not run, and ``text`` says why; ``settled_by`` is what would get it run.
    ``failure``: the first difference, when there is one, and the faults that reproduce it. ``cycles``
    compared.
    """

    agrees: bool | None
    cycles: int = 0
    simulator: str = ""
    text: str = ""
    failure: Failure | None = None
    settled_by: str | None = None
    explanations: tuple[Explanation, ...] = ()


class Laboratory(Protocol):
    """Runs one check at other values of its clock parameter."""

    def at(self, value: int, *, cycles_limit: int) -> ShortRun:
        """Short bursts with the clock parameter at ``value``, the longest of ``cycles_limit`` clocks."""
        ...

    def native_second(self) -> NativeRun:
        """The design as it is on the board; decides by itself whether that is worth its time."""
        ...
