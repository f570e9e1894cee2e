"""What inference comes to: proposals with their reasons, questions, and what nothing fits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from verify.design.interface import Module
from verify.errors import Place

__all__ = ["Assumption", "Choice", "Clock", "Proposal", "Question", "Reset", "Unknown"]


@dataclass(frozen=True, slots=True)
class Assumption:
    """One thing taken for true: ``key`` of the bench that holds it, why, and where that stands."""

    key: str
    text: str
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to read something: what it says in words, and the entries of the check that hold it."""

    text: str
    expect: Mapping[str, Any] = field(default_factory=dict)
    ports: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Question:
    """What only the user knows: two readings or more, each with the bench lines that settle it."""

    text: str
    readings: tuple[tuple[str, str], ...]
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Clock:
    """``frequency`` in Hz; ``parameter``: the one that carries it, or the ratio of a divider."""

    port: str
    edge: Literal["rising", "falling"] = "rising"
    frequency: int | None = None
    parameter: str | None = None


@dataclass(frozen=True, slots=True)
class Reset:
    """``port`` may be a bit of a bus."""

    port: str
    active: Literal["high", "low"]


@dataclass(frozen=True, slots=True)
class Proposal:
    """One check of one module.

    ``axes``: matters of convention, each a list of choices, likeliest first; which one a design
    follows is measured. ``rivals``: other readings of the same names; the first reading is the one
    that is held against the design, and where it differs and a rival does not, the user is asked.
    ``certainty`` from 0 to 1.
    """

    module: Module
    model: str
    ports: Mapping[str, Any]
    expect: Mapping[str, Any]
    clock: Clock | None
    reset: Reset | None
    assumptions: tuple[Assumption, ...] = ()
    axes: tuple[tuple[Choice, ...], ...] = ()
    rivals: tuple[Choice, ...] = ()
    questions: tuple[Question, ...] = ()
    certainty: float = 0.5
    parameters: Mapping[str, int] = field(default_factory=dict)
    tie: Mapping[str, int] = field(default_factory=dict)
    label: str = ""
    """Beside the module's name, where a module has several checks."""

    @property
    def name(self) -> str:
        """The name of the check."""
        return f"{self.module.name}: {self.label or self.model}"


@dataclass(frozen=True, slots=True)
class Unknown:
    """A module that no golden model fits: the nearest one and what differs."""

    module: Module
    nearest: str
    differs: str
