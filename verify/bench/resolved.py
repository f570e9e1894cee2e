"""A check with nothing left to look up: every port found, every number evaluated."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from verify.design.interface import Module
from verify.models.family import Family
from verify.models.playing import ResetKind
from verify.signals import Reset, Signal
from verify.simulation.interface import Target

__all__ = ["PortRef", "ResetPort", "ResolvedCheck", "Slice"]


@dataclass(frozen=True, slots=True)
class Slice:
    """``width`` bits of a port from bit ``offset`` (distance from its least significant bit)."""

    port: str
    offset: int
    width: int


@dataclass(frozen=True, slots=True)
class PortRef:
    """Slices joined, least significant first; ``inverted``: a 0 on the wire means active."""

    slices: tuple[Slice, ...]
    inverted: bool = False

    @property
    def width(self) -> int:
        """Bits in all."""
        return sum(part.width for part in self.slices)


@dataclass(frozen=True, slots=True)
class ResetPort:
    """The reset; what is None is to be measured.

    ``delay``: clocks until it acts and ends; ``release``: further clocks until it ends.
    """

    ref: PortRef
    kind: ResetKind | None
    delay: int | None = None
    release: int | None = None


@dataclass(frozen=True, slots=True)
class ResolvedCheck:
    """One check, ready to run.

    ``target`` carries every input port (reset included) and every output port of the module.
    ``roles``: bound role -> references, one unless the role takes a list. ``options``: evaluated,
    defaults not filled in. ``facts``: measured things that the bench pins.
    ``tied``: input port -> value for inputs that no role drives.
    ``frequency_hz``: of the board's clock. ``clock_parameters``: of the module, those that carry it.
    ``speedup``: factor by which the clock-frequency
    parameter is already scaled down in ``target``; 1 when it is not. ``skew``: model output ->
    clocks that it comes later than the others, from the bench. ``settle``: clocks after reset.
    """

    name: str
    family: Family
    module: Module
    target: Target
    reset: ResetPort | None
    roles: Mapping[str, tuple[PortRef, ...]]
    options: Mapping[str, Any]
    facts: Mapping[str, Any] = field(default_factory=dict)
    latency: int | None = None
    settle: int | None = None
    skew: Mapping[str, int] = field(default_factory=dict)
    tied: Mapping[str, int] = field(default_factory=dict)
    frequency_hz: int | None = None
    clock_parameters: tuple[str, ...] = ()
    speedup: int = 1
    edge_pin: str = ""
    """The line that pins the edge of the clock, where the edge is taken from the design."""
    divides_clock: bool = False
    """Whether registers wait for a clock that the design makes itself."""
    speedup_asked: int | Literal["auto"] | None = None
    allowed: frozenset[str] = frozenset()
    """Words of constructs that are not refused."""
    notes: tuple[str, ...] = ()
    """What was inferred to get here, one sentence each, to be told to the user."""

    @property
    def resets(self) -> tuple[Reset, ...]:
        """The ways in which the reset may be driven, () without one.

        A pulse in the first half of a clock means something else to a register that waits for the
        inactive edge: it takes its input once more before the cycle ends. A reset of mixed kind has
        no pulses: they would leave the design half reset.
        """
        if self.reset is None:
            return ()
        if self.reset.kind is ResetKind.MIXED:
            return (Reset.HELD,)
        clock = (self.target.clock, self.target.edge)
        if any((register.clock, register.edge) != clock for register in self.module.registers):
            return (Reset.HELD, Reset.PULSED)
        return (Reset.HELD, Reset.PULSED, Reset.PULSED_EARLY)

    @property
    def unchecked_outputs(self) -> tuple[Signal, ...]:
        """Output ports, or parts of them, that no role watches: in the trace, not compared.

        A part is called as in Verilog: ``q[7:4]``.
        """
        watched = dict.fromkeys((port.name for port in self.target.outputs), 0)
        for part in (part for refs in self.roles.values() for ref in refs for part in ref.slices):
            if part.port in watched:
                watched[part.port] |= (1 << part.width) - 1 << part.offset
        return tuple(
            left for signal in self.target.outputs for left in self._unwatched(signal, watched[signal.name])
        )

    def _unwatched(self, signal: Signal, watched: int) -> Iterator[Signal]:
        """The parts of a port of which no bit is among ``watched``."""
        port = self.module.port(signal.name)
        if port is None or not watched:
            yield from () if watched else (signal,)
            return
        bits = "".join("x" if watched >> bit & 1 else "-" for bit in range(signal.width))
        for part in re.finditer("-+", bits):
            width = part.end() - part.start()
            yield Signal(port.part(part.start(), width), width)
