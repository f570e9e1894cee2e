"""A named part of the plan."""

from __future__ import annotations

from dataclasses import dataclass

from verify.signals import Stimulus

__all__ = ["Stage"]


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """One burst and what it is for, in a few words."""

    name: str
    stimulus: Stimulus
    exhaustive: bool = False
    """Every value that the inputs can take is in it."""
