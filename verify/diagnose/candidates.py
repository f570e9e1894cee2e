"""Everything that one failure may come from, edit by edit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from verify.bench import ResolvedCheck
from verify.compare import Reading
from verify.diagnose.alignment import alignment_edits, moves_in_reset, reset_edits
from verify.diagnose.bent.events import TooLong
from verify.diagnose.deadline import Deadline
from verify.diagnose.evidence import Evidence
from verify.diagnose.fault import Edit
from verify.diagnose.kinds import follows
from verify.diagnose.matching import Alignment, aligned
from verify.diagnose.naming import names_of
from verify.diagnose.observation import Observation
from verify.diagnose.promising import promised
from verify.diagnose.recoding import recodings
from verify.diagnose.unknowns import unknown_edits
from verify.diagnose.vocabulary import Context, edits
from verify.diagnose.wiring import rewirings
from verify.models.family import USUAL_LATENCIES_CYCLES
from verify.models.golden import GoldenModel
from verify.models.playing import ResetKind

__all__ = ["Candidates", "clash", "joined"]

MOST_LATENCIES = 3
"""Latencies at which wires are sorted out."""


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """For one check, read in one way."""

    check: ResolvedCheck
    reading: Reading
    deadline: Deadline
    _contexts: dict[int, Context] = field(default_factory=dict, repr=False)

    def every(
        self, model: GoldenModel, observations: Sequence[Observation], *, first: bool, solved: bool = True
    ) -> Iterator[Edit]:
        """All single faults of ``model``; ``first``: those of the bench's pins too.

        ``solved``: those that are read off the observations as well.
        """
        yield from self.around(model, observations, first=first, solved=solved)
        yield from edits(model, self._context(observations))

    def around(
        self, model: GoldenModel, observations: Sequence[Observation], *, first: bool, solved: bool = True
    ) -> Iterator[Edit]:
        """Faults around the model: in time, and on the wires of its outputs."""
        context = self._context(observations)
        failing = [o for o in observations if o.fails]
        if first:
            yield from unknown_edits(model, self.check, failing, context.names)
        yield from alignment_edits(model, self.check, context.names, fresh=first)
        moves = any(moves_in_reset(o) for o in failing[:2])
        if first and moves:
            yield from reset_edits(model, self.check, self.reading)
        if solved:
            yield from self._solved(model, failing, context)
        if first and not moves:  # what stands still anyway says nothing of a reset
            yield from reset_edits(model, self.check, self.reading)

    def _context(self, observations: Sequence[Observation]) -> Context:
        """Read off what was seen so far; more may be added to it, nothing changes."""
        if len(observations) not in self._contexts:
            self._contexts[len(observations)] = Context(
                Evidence([(o.stimulus, o.observed) for o in observations if o.observed is not None]),
                names_of(self.check, self.reading.model),
                self.reading.latency_cycles,
            )
        return self._contexts[len(observations)]

    def _solved(self, model: GoldenModel, failing: Sequence[Observation], context: Context) -> Iterator[Edit]:
        """What no wiring does for one observation none does for all."""
        plain = Edit((), model)
        for observation in dict.fromkeys((*failing[:2], *failing[-1:])):
            found = False
            for edit in self._rewired(model, observation, context):
                found = True
                yield replace(edit, solved=True)
            if not found and not self._does(plain, observation.opening):
                return

    def _does(self, edit: Edit, observation: Observation) -> bool:
        try:
            return bool(aligned(edit, observation, self.alignments(edit), self.deadline).alignments)
        except TooLong:
            return True

    def _rewired(self, model: GoldenModel, observation: Observation, context: Context) -> Iterator[Edit]:
        plain = Edit((), model)
        for kind in self._kinds(plain):
            try:
                trace = promised(plain, kind, observation, self.deadline)
            except TooLong:
                return
            for latency in self._latencies(plain)[:MOST_LATENCIES]:
                for solve in (rewirings, recodings):
                    yield from solve(model, trace, Alignment(kind, latency), observation, context.names)

    def alignments(self, edit: Edit, *, moved: bool = True) -> tuple[Alignment, ...]:
        """Where the edit may stand in time, the golden reading's own place first.

        ``moved``: at other latencies too, where the bench leaves that open.
        """
        latencies = self._latencies(edit)
        if not moved and edit.latencies is None:
            latencies = latencies[:1]
        return tuple(Alignment(kind, latency) for kind in self._kinds(edit) for latency in latencies)

    def _kinds(self, edit: Edit) -> tuple[ResetKind, ...]:
        own = self.reading.kind
        other = next(k for k in ResetKind if k is not own)
        if edit.reset == "other_kind":
            return (other,)
        if edit.reset == "second_half":
            return (ResetKind.ASYNCHRONOUS,)
        if self.check.reset is None or self.check.reset.kind is not None:
            return (own,)
        return (own, other)

    def _latencies(self, edit: Edit) -> tuple[int, ...]:
        pinned, own = self.check.latency, self.reading.latency_cycles
        if pinned is not None and not edit.unpinned:
            return (pinned,)
        if edit.latencies is not None:
            return edit.latencies
        if follows(edit.model):
            return (own,)
        return tuple(dict.fromkeys((own, *USUAL_LATENCIES_CYCLES)))


def clash(first: Edit, second: Edit) -> bool:
    """They change the same thing, so that together they are one other fault, or none."""
    taken = {_subject(f.key) for f in first.faults}
    return any(_subject(f.key) in taken for f in second.faults)


def _subject(key: str) -> str:
    return re.split(r" = | -> |: | <- | <-> ", key, maxsplit=1)[0]


def joined(first: Edit, second: Edit) -> Edit:
    """Both faults; the model of the second has them both already."""
    return replace(
        second,
        faults=(*first.faults, *second.faults),
        latencies=second.latencies or first.latencies,
        skew={**first.skew, **second.skew},
        reset=first.reset if second.reset == "kept" else second.reset,
        unpinned=first.unpinned or second.unpinned,
        whole=first.whole or second.whole,
        unknown={**first.unknown, **second.unknown},
    )
