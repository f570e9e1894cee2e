"""What a check has played and seen, for whoever looks for the reason of a failure."""

from __future__ import annotations

from verify.signals import ObservedTrace, Stimulus

__all__ = ["Memory"]

VALUES_KEPT = 4_000_000
"""Values of observed traces that are kept for the diagnosis, all stimuli together: 32 MB."""


class Memory:
    """What was played without a difference; long traces are forgotten, their stimuli are not.

    A trace that matched is what the golden model promises, so a forgotten one can be had again.
    """

    def __init__(self) -> None:
        self.seen: list[tuple[Stimulus, ObservedTrace | None]] = []
        self._room = VALUES_KEPT

    def add(self, stimulus: Stimulus, observed: ObservedTrace | None) -> None:
        """Keep one; None: nobody has the whole trace."""
        values = 0 if observed is None else len(observed.cycles) * max(len(observed.signals), 1)
        kept = observed if values <= self._room else None
        self._room -= values if kept is not None else 0
        self.seen.append((stimulus, kept))
