"""From a pattern of lit segments to the wires that light them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from verify.models.family import OptionError, Shape
from verify.models.golden import Values
from verify.models.option_values import OptionValues, one_of, width_of
from verify.signals import Signal

__all__ = ["POINT", "SEGMENTS", "SegmentWires"]

SEGMENTS = 7
POINT = 1 << SEGMENTS
"""The decimal point in a pattern: the bit beyond segment g."""


@dataclass(frozen=True, slots=True)
class SegmentWires:
    """The wires of one digit: seven, or eight with the decimal point.

    A packed word holds a in bit 0 and g in bit 6; with ``reversed_order`` g comes first, so a is
    the highest bit. The point lies beyond g: bit 7, or bit 0 when reversed. ``active_low``: a 0
    lights. ``names`` are those of the outputs: one, or one per wire, a first.
    """

    names: tuple[str, ...]
    wires: int
    reversed_order: bool = False
    active_low: bool = False

    @classmethod
    def of(cls, shape: Shape, values: OptionValues) -> SegmentWires:
        """The wires bound as ``segments`` or ``segment_ports``; options ``active`` and ``order``."""
        low, reverse = values.choice("active") == "low", values.choice("order") == "a_msb"
        if one_of(shape, "segments", "segment_ports") == "segments":
            width = width_of(shape, "segments") or 0
            return cls(("segments",), cls.checked("segments", width), reverse, low)
        widths = shape["segment_ports"]
        cls.checked("segment_ports", len(widths))
        for index, width in enumerate(widths):
            if width != 1:
                raise OptionError(
                    "segment_ports", f"a port of {width} bits for segment {'abcdefg.'[index]}", "one bit"
                )
        if reverse:
            raise OptionError("order", '"a_msb"', "a list of ports that begins with segment a")
        return cls(tuple(f"segment_ports[{i}]" for i in range(len(widths))), len(widths), False, low)

    @staticmethod
    def checked(role: str, wires: int) -> int:
        """Raises :class:`OptionError` unless there are seven or eight."""
        if wires not in (SEGMENTS, SEGMENTS + 1):
            raise OptionError(role, f"{wires} segment{'s' * (wires != 1)}", "7, or 8 with the decimal point")
        return wires

    @property
    def has_point(self) -> bool:
        """The eighth wire is there."""
        return self.wires > SEGMENTS

    @property
    def signals(self) -> tuple[Signal, ...]:
        """One signal per name."""
        width = self.wires if len(self.names) == 1 else 1
        return tuple(Signal(name, width) for name in self.names)

    def word(self, pattern: Any) -> Any:
        """All wires as one number, for a pattern or a column of patterns."""
        word = pattern & (1 << self.wires) - 1
        if self.reversed_order:
            top = self.wires - 1
            word = sum((word >> i & 1) << top - i for i in range(self.wires))
        return word ^ ((1 << self.wires) - 1 if self.active_low else 0)

    def split(self, word: Any) -> Values:
        """One value per output for a word, or for a mask of promised wires."""
        if len(self.names) == 1:
            return (word,)
        return tuple(word >> i & 1 for i in range(self.wires))

    def mask(self, patterns: Any) -> Any:
        """The wires of the given segments as one number, whatever the level that lights them."""
        return SegmentWires(self.names, self.wires, self.reversed_order).word(patterns)
