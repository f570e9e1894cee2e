"""How a sequential converter talks to its surroundings."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from verify.models.family import OptionError, Shape
from verify.models.option_values import width_of
from verify.signals import ObservedTrace

__all__ = ["DoneShape", "Handshake", "Roles", "Schedule"]

DoneShape = Literal["pulse", "held", "idle", "acknowledged"]
"""When ``done`` is high: for one clock; from then to the next start; whenever no conversion is going
on; from then until ``start`` is low."""


@dataclass(frozen=True, slots=True)
class Roles:
    """Which of the three control ports there are."""

    start: bool
    done: bool
    busy: bool

    @classmethod
    def of(cls, shape: Shape) -> Roles:
        """Raises :class:`OptionError` when a port is too wide, or says nothing by itself."""
        for role in ("start", "done", "busy"):
            if width_of(shape, role) not in (None, 1):
                raise OptionError(role, f"a port of {width_of(shape, role)} bits", "one bit")
        roles = cls(*(bool(shape.get(role)) for role in ("start", "done", "busy")))
        if roles.busy and not (roles.start or roles.done):
            raise OptionError("busy", "no port for start or done", "start or done bound beside it")
        return roles

    @property
    def tells(self) -> bool:
        """The design says when it is done; else only time can tell."""
        return self.done or self.busy

    @property
    def any(self) -> bool:
        """The converter is sequential."""
        return self.start or self.done or self.busy


@dataclass(frozen=True, slots=True)
class Handshake:
    """What the data sheet of a sequential converter would say and a bench does not.

    ``ready``: clocks from the (first) clock of done to the first clock in which a start is taken.
    ``busy_until``: clocks for which busy outlasts the clock before done. ``rising``: only a start
    that was low before is taken. ``delay``: clocks by which all outputs come late, or the inputs.
    ``first``: clocks from reset to the first start of a converter that starts itself.
    """

    done: DoneShape = "pulse"
    ready: int = 0
    busy_until: int = 0
    rising: bool = False
    delay: int = 0
    first: int = 0

    def facts(self, roles: Roles) -> Mapping[str, Any]:
        """As measured facts, those that show."""
        facts: dict[str, Any] = {}
        if roles.done:
            facts["done"] = self.done
        if roles.busy and roles.done:
            facts["busy_until"] = self.busy_until
        if roles.start:
            facts["next_start"] = self.ready
            facts["start"] = "rising" if self.rising else "high"
        else:
            facts["samples_after_done"] = self.ready
            facts["samples_after_reset"] = self.first
        return facts


@dataclass(frozen=True, slots=True)
class Schedule:
    """When a design said done: the clocks at which it begins and stops to, in cycles of the golden model."""

    rises: tuple[int, ...]
    falls: tuple[int, ...]

    @classmethod
    def read(cls, observed: ObservedTrace, roles: Roles, delay: int) -> Schedule:
        """Off ``done``, or where there is none off the end of ``busy``; an x is neither."""
        name = "done" if roles.done else "busy"
        index = next(i for i, s in enumerate(observed.signals) if s.name == name)
        high = observed.values[index] == (1 if roles.done else 0)
        unknown = None if observed.unknown is None else observed.unknown[index]
        if unknown is not None:
            high = high & (unknown == 0)
        edges = np.diff(np.asarray(high, dtype=np.int8), prepend=0, append=0)
        cycles = np.append(observed.cycles, observed.length) - delay
        return cls(tuple(cycles[edges == 1].tolist()), tuple(cycles[edges == -1].tolist()))

    def next(self, cycle: int) -> int | None:
        """The first cycle from ``cycle`` on in which the design says done."""
        last = bisect_right(self.rises, cycle) - 1
        if last >= 0 and cycle < self.falls[last]:
            return cycle
        coming = bisect_left(self.rises, cycle)
        return self.rises[coming] if coming < len(self.rises) else None
