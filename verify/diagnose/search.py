"""Search the vocabulary for the faults that do what the failing stimuli show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import zip_longest

from verify.diagnose.bent.events import TooLong
from verify.diagnose.candidates import Candidates, clash, joined
from verify.diagnose.closeup import CloseUp
from verify.diagnose.deadline import OutOfTime
from verify.diagnose.fault import Edit
from verify.diagnose.matching import Alignment, Match, Standing, aligned
from verify.diagnose.observation import Observation
from verify.models.family import Candidate

__all__ = ["Search"]

BEAM = 60
"""So many single faults are tried together with a second one, while there is time."""

BASES, MOST_BASES = 4, 40
"""So many golden models that the bench allows are edited in every way, and looked at at all."""


@dataclass(eq=False)
class Search:
    """One failure. ``observations``: the failing ones first, the cheapest of them at the front.

    When the deadline has passed the search ends with what it has. ``rejected``: edits that failed a
    test. ``tried``: how many edited models were looked at.
    """

    candidates: Candidates
    bases: Sequence[Candidate]
    observations: list[Observation]
    rejected: list[Edit] = field(default_factory=list)
    tried: int = 0
    _scores: list[tuple[float, int, Edit]] = field(default_factory=list)
    _dead: set[int] = field(default_factory=set)

    @property
    def failing(self) -> list[Observation]:
        """Those that the golden reading does not match."""
        return [o for o in self.observations if o.fails]

    @cached_property
    def _close_up(self) -> CloseUp | None:
        """Of the cheapest failing observation."""
        return CloseUp.of(self.failing[0], self.candidates.deadline)

    def singles(self) -> list[Standing]:
        """Every single fault that reproduces the failing observations."""
        return self._fitting(self.candidates.every(self.bases[0].model, self.observations, first=True))

    def singles_elsewhere(self) -> list[Standing]:
        """The same for other golden models that the bench allows, the most usual one first."""
        found: list[Standing] = []
        for candidate in self._others[:BASES]:
            found += self._fitting(self.candidates.every(candidate.model, self.observations, first=False))
        for candidate in self._others[BASES:]:
            found += self._fitting(self.candidates.around(candidate.model, self.observations, first=False))
        return found

    def transferred(self, partial: Sequence[Standing]) -> list[Standing]:
        """The same faults of the other golden models that the bench allows.

        What the bench leaves open was measured on the faulty design, so it may have been misread.
        """
        keys, solved = {s.edit.key for s in partial}, any(s.edit.solved for s in partial)
        found: list[Standing] = []
        for candidate in self._others:
            every = self.candidates.every(candidate.model, self.observations, first=True, solved=solved)
            found += self._fitting(e for e in every if e.key in keys)
        return found

    def pairs(self, partial: Iterable[Edit] = ()) -> Iterator[list[Standing]]:
        """Second faults on top of the most promising single ones, one by one; ``partial`` go first."""
        firsts: dict[str, Edit] = {}
        for edit in [*partial, *self._nearest()]:
            firsts.setdefault(edit.key, edit)
        for first in list(firsts.values())[:BEAM]:
            if self._ended:
                return
            seconds = self.candidates.every(first.model, self.observations, first=False)
            yield self._fitting((joined(first, s) for s in seconds if not clash(first, s)), moved=False)

    def _nearest(self) -> Iterator[Edit]:
        """Single faults, the nearest first; of the model and around it in turns.

        Changed wires come near to anything, but are tried second with every other fault as well.
        """
        self._scores.sort(key=lambda s: s[:2])
        ways: tuple[list[Edit], list[Edit]] = ([], [])
        for _, _, edit in self._scores:
            ways[edit.solved or bool(edit.skew)].append(edit)
        for pair in zip_longest(*ways):
            yield from (edit for edit in pair if edit is not None)

    @cached_property
    def _others(self) -> list[Candidate]:
        """The other models that the bench allows: the most usual one, then those that agree most."""
        light = [o for o in self.failing if not o.heavy][:1]
        others: list[tuple[float, int, Candidate]] = []
        for candidate in self.bases[1:MOST_BASES]:
            shares = [self._share(candidate, o) for o in light]
            others.append((sum(shares), len(others), candidate))
        usual = list(self.bases[1:2])
        ranked = [c for _, _, c in sorted(others, key=lambda o: o[:2])]
        return [*usual, *(c for c in ranked if c not in usual)]

    def _share(self, candidate: Candidate, observation: Observation) -> float:
        reading = self.candidates.reading
        latencies = candidate.latencies or (reading.latency_cycles,)
        alignments = [Alignment(reading.kind, latency) for latency in latencies]
        try:
            self.candidates.deadline.require()
            return aligned(Edit((), candidate.model), observation, alignments, self.candidates.deadline).wrong
        except (OutOfTime, TooLong):
            return 1.0

    @property
    def _ended(self) -> bool:
        return self.candidates.deadline.ended

    def _fitting(self, edits: Iterable[Edit], *, moved: bool = True) -> list[Standing]:
        """Those that do what was seen: all of it where that is short, at a close look where it is long.

        ``moved``: at other latencies than the golden reading's too.

        Every edit gets a short look first, so that the slow ones cannot use up the time of the rest.
        """
        likely: list[Standing] = []
        silent: list[Standing] = []
        unlikely: list[Standing] = []
        try:
            for edit in edits:
                self.candidates.deadline.require()
                if self._is_rejected(edit) or self._is_dead(edit):
                    continue
                self.tried += 1
                whole = Standing(edit, self.candidates.alignments(edit, moved=moved))
                match = self._looked_at(whole)
                if match is None:
                    silent.append(whole)
                elif match.alignments:
                    likely.append(Standing(edit, match.alignments))
                else:
                    unlikely.append(whole)
                    self._score(edit, match.wrong + len(self.failing) - 1)
        except OutOfTime:
            pass
        found = self._on_failing(likely, heavy=False) or (likely if self._ended else [])
        found = found or self._on_failing(silent, heavy=True)
        if not found and self._close_up is not None:
            found = self._on_failing(unlikely, heavy=True)
        return list({s.edit.key: s for s in reversed(found)}.values())[::-1]

    def _looked_at(self, standing: Standing) -> Match | None:
        """A short look; None when it has to be played for longer to say anything."""
        edit = standing.edit
        if self._close_up is not None:
            return self._close_up.match(edit, standing.alignments)
        opening = self.failing[0].opening
        if edit.whole and opening.flushed_cycles is None:
            return None
        try:
            return aligned(edit, opening, standing.alignments, self.candidates.deadline)
        except TooLong:
            return None

    def _on_failing(self, looked_at: Sequence[Standing], *, heavy: bool) -> list[Standing]:
        found = []
        for standing in sorted(looked_at, key=lambda s: s.edit.cost):
            if self._ended:
                break
            try:
                kept = self._reproducing(standing, heavy=heavy)
            except (OutOfTime, TooLong):
                continue
            if kept is not None:
                found.append(kept)
                self._dead.discard(_mark(standing.edit) or 0)
        return found

    def _reproducing(self, standing: Standing, *, heavy: bool) -> Standing | None:
        """The standing after the openings of the failing observations; of heavy ones if ``heavy``."""
        edit, now = standing.edit, standing
        used = [o for o in self.failing if heavy or edit.whole or not o.heavy]
        if edit.whole:
            used = [o for o in used if o.flushed_cycles is not None]
            if not used:
                return None
        for number, observation in enumerate(used):
            shown = observation if heavy else observation.opening
            match = aligned(edit, shown, now.alignments, self.candidates.deadline)
            if not match.alignments:
                self._score(edit, match.wrong + len(used) - number - 1)
                return None
            now = Standing(edit, match.alignments, 0, now.speaks or match.speaks)
        later = not heavy and not edit.whole and any(o.heavy for o in self.failing)
        return now if now.speaks or later else None

    def _score(self, edit: Edit, share: float) -> None:
        """How near a single fault came, for :meth:`pairs`."""
        if edit.reset == "kept" and len(edit.faults) == 1:
            self._scores.append((share, len(self._scores), edit))

    def _is_rejected(self, edit: Edit) -> bool:
        """It was put to the test before, and failed."""
        return any(edit.key == r.key and edit.model == r.model for r in self.rejected)

    def _is_dead(self, edit: Edit) -> bool:
        """It was tried on the failing observations before, and did not fit; if not, it is marked so."""
        mark = _mark(edit)
        if mark is None:
            return False
        if mark in self._dead:
            return True
        self._dead.add(mark)
        return False


def _mark(edit: Edit) -> int | None:
    try:
        return hash((edit.key, edit.model))
    except TypeError:
        return None
