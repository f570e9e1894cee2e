"""What a measurement found, counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from verify.strength.mutation import Fate, Trial

__all__ = ["Strength"]


@dataclass(frozen=True, slots=True)
class Strength:
    """The trials in the order of the text. ``untried``: how many were left out or not reached."""

    bench: Path
    trials: tuple[Trial, ...]
    untried: int = 0
    seconds: float = 0.0
    recalled: int = 0

    def of(self, fate: Fate) -> Sequence[Trial]:
        """The trials that ended so."""
        return [trial for trial in self.trials if trial.fate == fate]

    @property
    def score(self) -> float | None:
        """Killed, of those killed or survived; None when there are none."""
        killed, survived = len(self.of("killed")), len(self.of("survived"))
        return killed / (killed + survived) if killed + survived else None
