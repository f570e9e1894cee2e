"""How port values lie in the 32-bit words that pass to and from the simulator."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

from verify.signals import Signal

__all__ = ["WORD_BITS", "Layout"]

WORD_BITS = 32


@dataclass(frozen=True, slots=True)
class Layout:
    """Signals side by side, the first one in the least significant bits.

    ``offsets``: lowest bit of each signal. ``bits`` and ``words`` count at least 1, so that a design
    without inputs or outputs needs no special case.
    """

    signals: tuple[Signal, ...]
    offsets: tuple[int, ...]
    bits: int
    words: int

    @classmethod
    def of(cls, signals: tuple[Signal, ...]) -> Layout:
        """Lay out the signals in their order."""
        ends = list(accumulate((s.width for s in signals), initial=0))
        bits = max(1, ends[-1])
        return cls(signals, tuple(ends[:-1]), bits, -(-bits // WORD_BITS))
