"""A named bundle of bits."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Signal"]


@dataclass(frozen=True, slots=True)
class Signal:
    """One input or output of a golden model, or one port of a design.

    ``name`` is a role (``"binary"``, ``"digits[0]"``) for a model and a port name for a design.
    ``width`` is in bits, at least 1. Values are unsigned; bit 0 is the least significant.
    """

    name: str
    width: int

    def __post_init__(self) -> None:
        if self.width < 1:
            raise ValueError(f"a signal is at least one bit wide: {self.name!r} width={self.width}")

    @property
    def mask(self) -> int:
        """All bits of the signal set."""
        return (1 << self.width) - 1
