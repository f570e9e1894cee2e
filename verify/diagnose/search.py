"""Search the vocabulary for the faults that reproduce everything that was seen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from verify.bench import ResolvedCheck
from verify.compare import Reading
from verify.diagnose.alignment import alignment_edits
from verify.diagnose.closeup import CloseUp
from verify.diagnose.events import TooLong
from verify.diagnose.evidence import Evidence
from verify.diagnose.fault import Edit
from verify.diagnose.naming import names_of
from verify.diagnose.observation import (
    Alignment,
    Observation,
    Standing,
    aligned,
    chain_conflict,
    fits,
    promised,
)
from verify.diagnose.patience import Patience
from verify.diagnose.recoding import recodings
from verify.diagnose.unknowns import unknown_edits
from verify.diagnose.vocabulary import Context, edits
from verify.diagnose.wiring import rewirings
from verify.models.family import Candidate
from verify.models.golden import FollowingModel, GoldenModel
from verify.models.playing import ResetKind

__all__ = ["Search"]

LATENCIES_CYCLES = range(9)
"""Latencies at which an edited model is tried when the bench pins none."""

BEAM = 14
"""So many single faults are tried together with a second one."""

BASES, MOST_BASES = 4, 40
"""So many golden models that the bench allows are edited in every way, and looked at at all."""


@dataclass(eq=False)
class Search:
    """One failure. ``observations``: the failing ones first, the cheapest of them at the front.

    When ``patience`` ends, the search ends with what it has. ``rejected``: edits that failed a test.
    """

    check: ResolvedCheck
    reading: Reading
    bases: Sequence[Candidate]
    observations: list[Observation]
    patience: Patience
    rejected: list[Edit] = field(default_factory=list)
    _scores: list[tuple[float, int, Edit]] = field(default_factory=list)
    _dead: set[int] = field(default_factory=set)

    @cached_property
    def close_up(self) -> CloseUp | None:
        """Of the cheapest failing observation."""
        return CloseUp.of(self.failing[0])

    @property
    def failing(self) -> list[Observation]:
        """Those that the golden reading does not match."""
        return [o for o in self.observations if not o.golden.difference.matches]

    def singles(self) -> list[Standing]:
        """Every single fault that reproduces the failing observations."""
        return self._tried_on_failing(self._edits(self.bases[0].model, first=True))

    def singles_elsewhere(self) -> list[Standing]:
        """The same for other golden models that the bench allows, the most usual one first."""
        found: list[Standing] = []
        for candidate in self._others[:BASES]:
            found += self._tried_on_failing(self._edits(candidate.model, first=False))
        for candidate in self._others[BASES:]:
            found += self._tried_on_failing(self._outer(candidate.model, first=False))
        return found

    def transferred(self, partial: Sequence[Standing]) -> list[Standing]:
        """The same faults of the other golden models that the bench allows.

        What the bench leaves open was measured on the faulty design, so it may have been misread.
        """
        keys = {s.edit.key for s in partial}
        found: list[Standing] = []
        for candidate in self._others:
            if self.patience.ended:
                break
            alike = (e for e in self._edits(candidate.model, first=True) if e.key in keys)
            found += self._tried_on_failing(alike)
        return found

    @cached_property
    def _others(self) -> list[Candidate]:
        """The other models that the bench allows: the most usual one, then those that agree most."""
        light = [o for o in self.failing if not o.heavy][:1]
        others: list[tuple[float, int, Candidate]] = []
        for candidate in self.bases[1:MOST_BASES]:
            plain = Edit((), candidate.model)
            shares = [self._share(plain, candidate, o) for o in light]
            others.append((sum(shares), len(others), candidate))
        usual = [] if self.bases[1:] == [] else [self.bases[1]]
        ranked = [c for _, _, c in sorted(others, key=lambda o: o[:2])]
        return [*usual, *(c for c in ranked if c is not usual[0])]

    def _share(self, plain: Edit, candidate: Candidate, observation: Observation) -> float:
        if self.patience.ended:
            return 1.0
        latencies = candidate.latencies or (self.reading.latency_cycles,)
        alignments = [Alignment(self.reading.kind, latency) for latency in latencies]
        return aligned(plain, observation, alignments, self.reading.settle_cycles).wrong

    def pairs(self, partial: Iterable[Edit] = ()) -> Iterator[Standing]:
        """Second faults on top of the most promising single ones; ``partial`` go first."""
        self._scores.sort(key=lambda s: (s[0], s[1]))
        firsts = [*partial, *(edit for _, _, edit in self._scores)]
        seen: set[str] = set()
        for first in firsts:
            if first.key in seen:
                continue
            seen.add(first.key)
            if len(seen) > BEAM or self.patience.ended:
                return
            seconds = self._edits(first.model, first=False)
            yield from self._tried_on_failing(
                _joined(first, second) for second in seconds if not _clash(first, second)
            )

    def verified(self, found: Iterable[Standing], observations: Sequence[Observation]) -> list[Standing]:
        """Those that reproduce all of ``observations`` too; nothing is kept that was not played."""
        kept = []
        for standing in found:
            now: Standing | None = standing
            for observation in observations:
                now = None if now is None or self.patience.ended else self._fits(now, observation)
                if now is None:
                    break
            if now is not None:
                kept.append(now)
        return kept

    def chained(self, standing: Standing) -> Standing | None:
        """For an edit whose state outlives resets: with all that was played in a row from power-up."""
        chain = sorted((o for o in self.observations if o.turn is not None), key=lambda o: o.turn or 0)
        if not standing.edit.whole or not chain:
            return standing
        kept = []
        for alignment in standing.alignments:
            try:
                if not chain_conflict(
                    standing.edit, alignment, chain, self.reading.settle_cycles, self.flushed_cycles
                ):
                    kept.append(alignment)
            except TooLong:
                continue
        cycles = standing.compared_cycles + sum(o.golden.difference.compared_cycles for o in chain)
        return replace(standing, alignments=tuple(kept), compared_cycles=cycles) if kept else None

    @property
    def flushed_cycles(self) -> int:
        """For how long the reset was held at power-up."""
        return max((o.flushed_cycles or 0 for o in self.observations), default=0)

    def _fits(self, standing: Standing, observation: Observation) -> Standing | None:
        if standing.edit.whole and observation.flushed_cycles is None:
            return standing
        try:
            return fits(standing, observation, self.reading.settle_cycles)
        except TooLong:
            return None

    def context(self) -> Context:
        """What the vocabulary goes by."""
        return Context(
            Evidence([(o.stimulus, o.observed) for o in self.observations if o.observed is not None]),
            names_of(self.check, self.reading.model),
            self.reading.latency_cycles,
        )

    def _edits(self, model: GoldenModel, *, first: bool) -> Iterator[Edit]:
        yield from self._outer(model, first=first)
        yield from edits(model, self.context())

    def _outer(self, model: GoldenModel, *, first: bool) -> Iterator[Edit]:
        """Faults around the model: in time, and on the wires of its outputs."""
        context = self.context()
        if first:
            yield from unknown_edits(model, self.check, self.failing, context.names)
        yield from alignment_edits(model, self.check, self.reading, context.names, fresh=first)
        for observation in dict.fromkeys((*self.failing[:2], *self.failing[-1:])):
            yield from self._rewired(model, observation, context)

    def _rewired(self, model: GoldenModel, observation: Observation, context: Context) -> Iterator[Edit]:
        plain = Edit((), model)
        for kind in self._kinds(plain):
            try:
                trace = promised(model, plain, kind, observation)
            except TooLong:
                return
            for latency in self._latencies(plain)[:3]:
                for solve in (rewirings, recodings):
                    yield from solve(
                        model,
                        trace,
                        Alignment(kind, latency),
                        observation,
                        context.names,
                        settle_cycles=self.reading.settle_cycles,
                    )

    def _tried_on_failing(self, candidates: Iterable[Edit]) -> list[Standing]:
        """Those that do what was seen: all of it where that is short, at a close look where it is long."""
        found: dict[str, Standing] = {}
        unlikely: list[Edit] = []
        for edit in candidates:
            if self.patience.ended:
                break
            if self._is_rejected(edit) or self._is_dead(edit):
                continue
            standing = self._likely(edit)
            if standing is None:
                unlikely.append(edit)
            elif (standing := self._on_failing(standing)) is not None:
                found.setdefault(edit.key, standing)
                self._revive(edit)
        for edit in unlikely if not found else ():
            if self.patience.ended:
                break
            whole = Standing(edit, self.alignments(edit))
            if (standing := self._on_failing(whole, heavy=True)) is not None:
                found.setdefault(edit.key, standing)
                self._revive(edit)
        return list(found.values())

    def _revive(self, edit: Edit) -> None:
        """It fits, so it may be tried again when more has been seen."""
        self._dead.discard(hash((edit.key, edit.model)))

    def _is_rejected(self, edit: Edit) -> bool:
        """It was put to the test before, and failed."""
        return any(edit.key == r.key and edit.model == r.model for r in self.rejected)

    def _is_dead(self, edit: Edit) -> bool:
        """It was tried on the failing observations before, and did not fit; if not, it is marked so."""
        try:
            mark = hash((edit.key, edit.model))
        except TypeError:
            return False
        if mark in self._dead:
            return True
        self._dead.add(mark)
        return False

    def _likely(self, edit: Edit) -> Standing | None:
        alignments = self.alignments(edit)
        if self.close_up is None:
            return Standing(edit, alignments)
        fitting = self.close_up.fitting(edit, alignments)
        if fitting is None:
            return Standing(edit, alignments)
        return Standing(edit, fitting) if fitting else None

    def _on_failing(self, standing: Standing, *, heavy: bool = False) -> Standing | None:
        """The standing after the failing observations: their openings, and nothing of heavy ones,
        unless ``heavy``.
        """
        edit, now = standing.edit, standing
        light = [o for o in self.failing if heavy or edit.whole or not o.heavy]
        failing = light if heavy else [o.opening for o in light]
        share, number = 0.0, 0
        for number, observation in enumerate(failing, 1):
            if edit.whole and observation.flushed_cycles is None:
                continue
            try:
                match = aligned(edit, observation, now.alignments, self.reading.settle_cycles)
            except TooLong:
                return None
            share = match.wrong
            if not match.alignments:
                break
            compared = now.compared_cycles + match.compared_cycles
            now = Standing(edit, match.alignments, compared, now.speaks or match.speaks)
        else:
            if edit.whole and not any(o.flushed_cycles for o in failing):
                return None
            return now if now.speaks or len(light) < len(self.failing) else None
        if edit.reset == "kept" and len(edit.faults) == 1:
            self._scores.append((share + len(failing) - number, len(self._scores), edit))
        return None

    def alignments(self, edit: Edit) -> tuple[Alignment, ...]:
        """Where the edit may stand in time, the golden reading's own place first."""
        return tuple(
            Alignment(kind, latency) for kind in self._kinds(edit) for latency in self._latencies(edit)
        )

    def _kinds(self, edit: Edit) -> tuple[ResetKind, ...]:
        own = self.reading.kind
        other = next(k for k in ResetKind if k is not own)
        if edit.reset == "other_kind":
            return (other,)
        if self.check.reset is None or self.check.reset.kind is not None:
            return (own,)
        return (own, other)

    def _latencies(self, edit: Edit) -> tuple[int, ...]:
        pinned, own = self.check.latency, self.reading.latency_cycles
        if edit.any_latency:
            return tuple(n for n in range(17) if n != own)
        if pinned is not None:
            return (pinned,)
        if edit.latencies is not None:
            return edit.latencies
        if isinstance(edit.model, FollowingModel):
            return (own,)
        return tuple(dict.fromkeys((own, *LATENCIES_CYCLES)))


def _clash(first: Edit, second: Edit) -> bool:
    """They change the same thing, so that together they are one other fault, or none."""
    taken = {_subject(f.key) for f in first.faults}
    return any(_subject(f.key) in taken for f in second.faults)


def _subject(key: str) -> str:
    return re.split(r" = | -> |: | <- | <-> ", key, maxsplit=1)[0]


def _joined(first: Edit, second: Edit) -> Edit:
    """Both faults; the model of the second has them both already."""
    return replace(
        second,
        faults=(*first.faults, *second.faults),
        skew={**first.skew, **second.skew},
        reset=first.reset if second.reset == "kept" else second.reset,
        any_latency=first.any_latency or second.any_latency,
        whole=first.whole or second.whole,
    )
