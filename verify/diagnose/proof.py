"""Play edits on all that was seen: nothing is kept that was not played."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from verify.diagnose.bent.events import TooLong
from verify.diagnose.deadline import Deadline, OutOfTime
from verify.diagnose.matching import Standing, chain_conflict, fits
from verify.diagnose.observation import Observation

__all__ = ["Proof"]


@dataclass(eq=False)
class Proof:
    """``open``: by key, edits that nothing refuted, but for which the time was too short.

    What refuted one edit is likely to refute the next one too, so it is asked first.
    """

    deadline: Deadline
    open: dict[str, Standing] = field(default_factory=dict)
    _refuted: dict[int, int] = field(default_factory=dict)

    def standing(self, found: Iterable[Standing], observations: Sequence[Observation]) -> list[Standing]:
        """Those that reproduce all of ``observations`` too."""
        return [s for one in found if (s := self._after(one, observations)) is not None]

    def _after(self, standing: Standing, observations: Sequence[Observation]) -> Standing | None:
        now = standing
        for observation in sorted(observations, key=lambda o: -self._refuted.get(id(o), 0)):
            if now.edit.whole and observation.flushed_cycles is None:
                continue  # its state before is not known; see chained()
            try:
                self.deadline.require()
                following = fits(now, observation, self.deadline)
            except (OutOfTime, TooLong):
                self.open.setdefault(now.edit.key, now)
                return None
            if following is None:
                self._refuted[id(observation)] = self._refuted.get(id(observation), 0) + 1
                return None
            now = following
        return now

    def chained(self, standing: Standing, observations: Sequence[Observation]) -> Standing | None:
        """For an edit whose state outlives resets: with all that was played in a row from power-up."""
        chain = sorted((o for o in observations if o.turn is not None), key=lambda o: o.turn or 0)
        if not standing.edit.whole or not chain:
            return standing
        flushed_cycles = max((o.flushed_cycles or 0 for o in observations), default=0)
        kept = []
        for alignment in standing.alignments:
            try:
                if not chain_conflict(standing.edit, alignment, chain, flushed_cycles, self.deadline):
                    kept.append(alignment)
            except (OutOfTime, TooLong):
                self.open.setdefault(standing.edit.key, standing)
                return None
        cycles = standing.compared_cycles + sum(o.stimulus.length for o in chain)
        return replace(standing, alignments=tuple(kept), compared_cycles=cycles) if kept else None
