"""What is done to a design, written down in Python."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from verify.models.golden import GoldenModel
from verify.signals import Reset, Run, Stimulus
from verify.stimulus.vocabulary import Hand

__all__ = ["OPENING_CYCLES", "Steps", "run_of", "sequence_of"]

OPENING_CYCLES = 2
"""For how long the reset is held ahead of steps."""

Steps = Stimulus | Iterable[Run]

_INDEXED = re.compile(r"(?P<role>.+)\[(?P<index>\d+)\]")


def run_of(model: GoldenModel, cycles: int, values: Mapping[str, Any], reset: Reset = Reset.RELEASED) -> Run:
    """Hold ``values`` (by role, active high) for ``cycles``; inputs that are not named rest.

    Raises ValueError for a role that is no input of the model, and a value that it cannot hold.
    """
    if cycles < 1:
        raise ValueError(f"cycles={cycles}, expected 1 or more")
    hand = Hand(model, ())
    changes: dict[int, int] = {}
    for role, value in values.items():
        places = _places(model, role)
        parts = list(value) if isinstance(value, Sequence) else [value]
        if len(parts) != len(places):
            raise ValueError(f"{role}={value!r}, expected {len(places)} values, one for each port")
        for place, part in zip(places, parts, strict=True):
            signal = model.inputs[place]
            number = int(part)
            if not 0 <= number <= signal.mask:
                raise ValueError(f"{signal.name}={part}, expected 0 to {signal.mask} ({signal.width} bits)")
            changes[place] = number
    return Run(cycles, hand.with_values(changes), reset)


def sequence_of(model: GoldenModel, values: Mapping[str, Iterable[Any]]) -> list[Run]:
    """A run of one cycle for each row of ``values`` (role -> one value per cycle, all equally many)."""
    columns = {role: list(column) for role, column in values.items()}
    lengths = {role: len(column) for role, column in columns.items()}
    if len(set(lengths.values())) > 1:
        told = ", ".join(f"{role} has {length}" for role, length in lengths.items())
        raise ValueError(f"expected as many values for every role: {told}")
    rows = zip(*columns.values(), strict=True)
    return [run_of(model, 1, dict(zip(columns, row, strict=True))) for row in rows]


def _places(model: GoldenModel, role: str) -> list[int]:
    names = [signal.name for signal in model.inputs]
    if role in names:
        return [names.index(role)]
    found = [
        place for place, name in enumerate(names) if (m := _INDEXED.fullmatch(name)) and m["role"] == role
    ]
    if not found:
        known = ", ".join(names) or "none"
        raise ValueError(f"no input has the role {role!r}; the inputs of this check are: {known}")
    return found
