"""One small change of a design, and what became of it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

__all__ = ["Fate", "Mutation", "Survivor", "Trial"]

Fate = Literal["killed", "survived", "no_difference", "stillborn"]
"""``no_difference``: it passes, and no stimulus of a comparison with the original told them apart.
``stillborn``: it is no design (it does not compile), and does not count."""


@dataclass(frozen=True, slots=True)
class Mutation:
    """Bytes ``start`` to ``end`` of the UTF-8 text of ``file`` become ``after``.

    ``kind``: one word for the sort of change. ``line`` counts from 1; ``old`` and ``new`` are the
    lines of the file that change, without their indentation.
    """

    file: Path
    start: int
    end: int
    after: str
    kind: str
    line: int
    old: str
    new: str

    def of(self, text: str) -> str:
        """The changed text of the file."""
        raw = text.encode()
        return (raw[: self.start] + self.after.encode() + raw[self.end :]).decode()


@dataclass(frozen=True, slots=True)
class Survivor:
    """How a mutant that passes differs from the original: on ``port``, ``cycle`` clocks after reset.

    ``inputs``: what was driven in that cycle. ``original`` and ``mutant``: the values of the port,
    most significant bit first. ``hint``: what would kill it.
    """

    check: str
    port: str
    cycle: int
    inputs: dict[str, int]
    original: str
    mutant: str
    hint: str


@dataclass(frozen=True, slots=True)
class Trial:
    """What became of one mutant. ``how``: in words; ``clocks`` compared with the original."""

    mutation: Mutation
    fate: Fate
    how: str
    clocks: int = 0
    difference: Survivor | None = None

    def as_json(self) -> dict[str, Any]:
        """Plain values, for a file."""
        found = asdict(self)
        found["mutation"]["file"] = str(self.mutation.file)
        return found

    @classmethod
    def from_json(cls, found: dict[str, Any]) -> Trial:
        """The trial in a file."""
        mutation = Mutation(**{**found["mutation"], "file": Path(found["mutation"]["file"])})
        difference = found["difference"]
        return cls(
            mutation,
            found["fate"],
            found["how"],
            found["clocks"],
            None if difference is None else Survivor(**difference),
        )
