"""What outputs did, or should have done, as plain Python values by role."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from verify.signals import Column, Signal

__all__ = ["Bits", "Played"]

Bits = int | None
"""An unsigned value, active high; None where a bit of it is x or z or, in what is expected, not promised."""

_INDEXED = re.compile(r"(?P<role>.+)\[(?P<index>\d+)\]")


@dataclass(frozen=True, slots=True, eq=False)
class Played:
    """A trace, cycle by cycle: ``trace["bcd"][7]`` is the role ``bcd`` in cycle 7.

    ``length`` in clock cycles. A value is sampled just before the clock edge that ends its cycle. A
    role that takes a list of ports (``digits``) has a tuple per cycle, and each of them goes by its
    own name, too (``digits[0]``).
    """

    signals: tuple[Signal, ...]
    length: int
    cycles: np.ndarray[Any, np.dtype[np.int64]] = field(repr=False)
    values: tuple[tuple[Bits, ...], ...] = field(repr=False)
    """Per signal one value for each of ``cycles``, which holds until the next of them."""

    @property
    def roles(self) -> tuple[str, ...]:
        """The outputs that can be asked for."""
        return tuple(dict.fromkeys(_role(signal.name) for signal in self.signals))

    def __getitem__(self, role: str) -> list[Any]:
        """One value per cycle. Raises KeyError, with the roles there are, for another name."""
        changes = self.changes(role)
        ends = [*(at for at, _ in changes[1:]), self.length]
        spread: list[Any] = []
        for (begin, value), end in zip(changes, ends, strict=True):
            spread += [value] * (end - begin)
        return spread

    def __len__(self) -> int:
        return self.length

    def at(self, cycle: int) -> dict[str, Any]:
        """Every role's value in one cycle; a negative one counts from the end."""
        if not -self.length <= cycle < self.length:
            raise IndexError(f"cycle={cycle}, the trace has {self.length}")
        row = int(np.searchsorted(self.cycles, cycle % self.length, side="right")) - 1
        return {role: self._value(self._places(role), role, row) for role in self.roles}

    def changes(self, role: str) -> list[tuple[int, Any]]:
        """(cycle, value from there on) wherever the role changes: for traces too long to spell out."""
        places = self._places(role)
        found: list[tuple[int, Any]] = []
        for row, cycle in enumerate(self.cycles.tolist()):
            value = self._value(places, role, row)
            if not found or found[-1][1] != value:
                found.append((cycle, value))
        return found

    def _places(self, role: str) -> list[int]:
        names = [signal.name for signal in self.signals]
        if role in names:
            return [names.index(role)]
        places = [place for place, name in enumerate(names) if _role(name) == role]
        if not places:
            raise KeyError(f"no output has the role {role!r}; there is {', '.join(self.roles)}")
        return places

    def _value(self, places: list[int], role: str, row: int) -> Any:
        if len(places) == 1 and self.signals[places[0]].name == role:
            return self.values[places[0]][row]
        return tuple(self.values[place][row] for place in places)


def _role(name: str) -> str:
    match = _INDEXED.fullmatch(name)
    return match["role"] if match else name


def bits_of(values: Column, hidden: Column | None) -> tuple[Bits, ...]:
    """The values of a column, None in the rows in which ``hidden`` is not 0."""
    if hidden is None:
        return tuple(values.tolist())
    pairs = zip(values.tolist(), hidden.tolist(), strict=True)
    return tuple(None if bits else value for value, bits in pairs)
