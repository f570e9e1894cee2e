"""A sequential converter that can be restarted, but not at the very end."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from verify.models.bcd_sequential import SequentialConverter
from verify.models.golden import Values

__all__ = ["BentSequencer", "bent_sequencer"]


@dataclass(frozen=True, slots=True)
class BentSequencer(SequentialConverter):
    """In the last ``deaf_clocks`` clocks of a conversion a start is not seen."""

    deaf_clocks: int = 0

    def _asked(self, at: Any, inputs: Values) -> bool:
        deaf = 0 < at.left <= self.deaf_clocks
        return not deaf and SequentialConverter._asked(self, at, inputs)

    def quiet(self, state: Any, inputs: Values) -> int:
        """As a sequential converter's, but not across the clock in which it goes deaf."""
        left = state[1]
        most = SequentialConverter.quiet(self, state, inputs)
        return min(most, max(left - self.deaf_clocks - 1, 0)) if left > self.deaf_clocks else most


def bent_sequencer(model: SequentialConverter, **changes: Any) -> BentSequencer:
    """``model`` with a deaf end; ``changes`` as for ``dataclasses.replace``."""
    kind = BentSequencer if isinstance(model, BentSequencer) else SequentialConverter
    given = {f.name: getattr(model, f.name) for f in fields(kind) if f.init}
    return BentSequencer(**{**given, **changes})
