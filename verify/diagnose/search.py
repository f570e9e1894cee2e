"""Search the vocabulary for the faults that reproduce everything that was seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from verify.bench import ResolvedCheck
from verify.compare import Reading
from verify.diagnose.alignment import alignment_edits
from verify.diagnose.events import TooLong
from verify.diagnose.evidence import Evidence
from verify.diagnose.fault import Edit
from verify.diagnose.naming import names_of
from verify.diagnose.observation import Alignment, Observation, Standing, aligned, fits, promised
from verify.diagnose.patience import Patience
from verify.diagnose.vocabulary import Context, edits
from verify.diagnose.wiring import rewirings
from verify.models.family import Candidate
from verify.models.golden import GoldenModel
from verify.models.playing import ResetKind

__all__ = ["Search"]

LATENCIES_CYCLES = range(9)
"""Latencies at which an edited model is tried when the bench pins none."""

BEAM = 14
"""So many single faults are tried together with a second one."""

BASES = 4
"""So many golden models that the bench allows are edited."""


@dataclass(eq=False)
class Search:
    """One failure. ``observations``: the failing ones first, the cheapest of them at the front.

    When ``patience`` ends, the search ends with what it has.
    """

    check: ResolvedCheck
    reading: Reading
    bases: Sequence[Candidate]
    observations: list[Observation]
    patience: Patience
    _scores: list[tuple[float, int, Edit]] = field(default_factory=list)
    _tried: set[tuple[str, int]] = field(default_factory=set)

    @property
    def out_of_time(self) -> bool:
        """There is no patience left."""
        return self.patience.ended

    @property
    def failing(self) -> list[Observation]:
        """Those that the golden reading does not match."""
        return [o for o in self.observations if not o.golden.difference.matches]

    def singles(self) -> list[Standing]:
        """Every single fault that reproduces the failing observations."""
        found: list[Standing] = []
        for number, candidate in enumerate(self.bases[:BASES]):
            found += self._tried_on_failing(self._edits(candidate.model, first=number == 0))
            if found and number == 0:
                break
        return found

    def pairs(self, partial: Iterable[Edit] = ()) -> Iterator[Standing]:
        """Second faults on top of the most promising single ones; ``partial`` go first."""
        self._scores.sort(key=lambda s: (s[0], s[1]))
        firsts = [*partial, *(edit for _, _, edit in self._scores)]
        seen: set[str] = set()
        for first in firsts:
            if first.key in seen:
                continue
            seen.add(first.key)
            if len(seen) > BEAM or self.out_of_time:
                return
            seconds = self._edits(first.model, first=False)
            yield from self._tried_on_failing(_joined(first, second) for second in seconds)

    def verified(self, found: Iterable[Standing], observations: Sequence[Observation]) -> list[Standing]:
        """Those that reproduce all of ``observations`` too; nothing is kept that was not played."""
        kept = []
        for standing in found:
            now: Standing | None = standing
            for observation in observations:
                now = None if self.out_of_time else self._fits(now, observation)
                if now is None:
                    break
            if now is not None:
                kept.append(now)
        return kept

    def _fits(self, standing: Standing | None, observation: Observation) -> Standing | None:
        if standing is None or (standing.edit.whole and observation.flushed_cycles is None):
            return standing
        try:
            return fits(standing, observation, self.reading.settle_cycles)
        except TooLong:
            return None

    def context(self) -> Context:
        """What the vocabulary goes by."""
        return Context(
            Evidence(self.observations),
            names_of(self.check, self.reading.model),
            self.reading.latency_cycles,
        )

    def _edits(self, model: GoldenModel, *, first: bool) -> Iterator[Edit]:
        context = self.context()
        yield from alignment_edits(model, self.check, self.reading, context.names, fresh=first)
        for observation in self.failing[:2]:
            yield from self._rewired(model, observation, context)
        yield from edits(model, context)

    def _rewired(self, model: GoldenModel, observation: Observation, context: Context) -> Iterator[Edit]:
        plain = Edit((), model)
        for kind in self._kinds(plain):
            try:
                trace = promised(model, plain, kind, observation)
            except TooLong:
                return
            for latency in self._latencies(plain)[:3]:
                yield from rewirings(
                    model,
                    trace,
                    Alignment(kind, latency),
                    observation,
                    context.names,
                    settle_cycles=self.reading.settle_cycles,
                )

    def _tried_on_failing(self, candidates: Iterable[Edit]) -> list[Standing]:
        found: list[Standing] = []
        keys: dict[str, int] = {}
        for edit in candidates:
            if self.out_of_time:
                break
            standing = self._on_failing(edit)
            if standing is not None and keys.setdefault(edit.key, len(found)) == len(found):
                found.append(standing)
        return found

    def _on_failing(self, edit: Edit) -> Standing | None:
        standing: Standing | None = Standing(edit, self.alignments(edit))
        share = 0.0
        failing = self.failing
        for number, observation in enumerate(failing):
            if standing is None:
                break
            if edit.whole and observation.flushed_cycles is None:
                continue
            try:
                match = aligned(edit, observation, standing.alignments, self.reading.settle_cycles)
            except TooLong:
                return None
            share = match.wrong
            if not match.alignments:
                standing = None
                share += len(failing) - 1 - number
            else:
                compared = standing.compared_cycles + match.compared_cycles
                standing = Standing(edit, match.alignments, compared, standing.speaks or match.speaks)
        if standing is None and edit.reset == "kept" and len(edit.faults) == 1:
            self._scores.append((share, len(self._scores), edit))
        return standing if standing is not None and standing.speaks else None

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
        return tuple(dict.fromkeys((own, *LATENCIES_CYCLES)))


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
