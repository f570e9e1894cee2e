"""What a vocabulary goes by, beside the model."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from verify.diagnose.evidence import Evidence
from verify.diagnose.naming import Names

__all__ = ["Context", "distinct"]


@dataclass(frozen=True, slots=True, eq=False)
class Context:
    """``evidence``: what the design did; ``names``: what its ports are called; ``latency_cycles``: of
    the golden reading. ``hidden``: the stages are behind a display, so no port says how wide they are.
    """

    evidence: Evidence
    names: Names
    latency_cycles: int = 0
    hidden: bool = False

    def name(self, signal: str) -> str:
        """The port behind a signal of the model."""
        return self.names.get(signal, signal)


def distinct(
    numbers: Iterable[int | None], *, without: Iterable[int] = (), low: int = 0, high: int | None = None
) -> list[int]:
    """The numbers from ``low`` to ``high``, each once, in their order."""
    kept = dict.fromkeys(n for n in numbers if n is not None and n >= low and (high is None or n <= high))
    return [n for n in kept if n not in set(without)]
