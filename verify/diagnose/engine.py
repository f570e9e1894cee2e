"""From a failure to the faults that reproduce it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from verify.bench import ResolvedCheck
from verify.compare import Reading
from verify.diagnose.bent.events import TooLong
from verify.diagnose.candidates import Candidates
from verify.diagnose.continuing import continuation, continued
from verify.diagnose.deadline import Deadline, OutOfTime
from verify.diagnose.kinds import is_table
from verify.diagnose.matching import Alignment, Standing
from verify.diagnose.observation import Observation
from verify.diagnose.proof import Proof
from verify.diagnose.questions import longer_look, questions, rest
from verify.diagnose.search import Search
from verify.errors import EveryedgeError
from verify.models.family import Candidate
from verify.signals import ObservedTrace, Stimulus

__all__ = ["Ask", "Diagnosis", "diagnose"]

ALONE, ELSEWHERE, PAIRED, ASKING, LONGER = 0.35, 0.5, 0.68, 0.8, 0.05
"""Shares of the time after which the search for single faults, the one around other golden models,
that for pairs, and asking give way to what comes next; and how much later in every further round.
"""

HOLDING = 0.75
"""The share until which what one of them has found may be held against all that was seen."""

FAR_FETCHED = 3
"""A cost above which a plainer explanation is looked for around other golden models too."""

MOST_PROVEN = 3
"""So many findings that nothing tells apart are played on everything."""

MOST_ROUNDS = 3
"""So often a question may show that nothing found so far is the whole story."""

SHORTEST_ANSWER_SECONDS = 0.5
"""With less time left than this no question is asked any more."""


class Ask(Protocol):
    """Plays a stimulus on the design."""

    def __call__(self, stimulus: Stimulus, *, fresh: bool, seconds: float) -> ObservedTrace:
        """What the outputs of the model do; ``fresh``: the design is powered up anew before.

        Raises EveryedgeError, at the latest after about ``seconds``.
        """
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Diagnosis:
    """``found``: edits that reproduce everything, the plainest first; none of them could be told apart
    from the first. ``open``: those that nothing refuted, but that were not played on everything.
    ``partial``: what reproduces every failing stimulus but not all that was seen. ``tried``: how
    many edited models were played. ``ended``: the time was up.
    """

    found: tuple[Standing, ...]
    open: tuple[Standing, ...] = ()
    partial: tuple[Standing, ...] = ()
    tried: int = 0
    ended: bool = False


def diagnose(
    check: ResolvedCheck,
    reading: Reading,
    history: Sequence[Observation],
    ask: Ask | None = None,
    *,
    bases: Sequence[Candidate] = (),
    deadline: Deadline | None = None,
    paused: Observation | None = None,
) -> Diagnosis:
    """Search for faults and, with ``ask``, put what is found to the test.

    ``history``: everything that was seen; ``bases``: the golden models that the bench allows.
    ``paused``: the observation at whose end the design stands now, so that it can go on from there.
    """
    deadline = deadline or Deadline()
    order = sorted(history, key=lambda o: (not o.fails, o.rows, o.stimulus.length))
    models = [reading.candidate, *(c for c in bases if c.model != reading.model)]
    search = Search(Candidates(check, reading, deadline), models, order)
    return _Diagnosing(search, Proof(deadline), deadline, paused).run(ask)


@dataclass(eq=False)
class _Diagnosing:
    search: Search
    proof: Proof
    deadline: Deadline
    paused: Observation | None
    looked: bool = False

    def run(self, ask: Ask | None) -> Diagnosis:
        partial: list[Standing] = []
        found: list[Standing] = []
        for number in range(MOST_ROUNDS):
            found, partial = self._search(partial, number * LONGER, ask)
            if not found or ask is None:
                break
            self.deadline.until(ASKING + number * LONGER)
            standing = self._put_to_the_test(found, ask)
            if standing:
                found = standing
                break
            self.search.rejected += [s.edit for s in found]
            partial, found = [*found, *partial], []
        ended = self.deadline.ended
        self.deadline.until(1.0)
        proven = self._proven(found)
        plain = [s for s in proven if s.edit.cost == proven[0].edit.cost]
        proven = [s for s in plain if self._in_place(s)] or plain
        keys = {s.edit.key for s in proven}
        rest = {s.edit.key: s for s in self.proof.open.values() if s.edit.key not in keys and _is_likely(s)}
        return Diagnosis(
            tuple(proven),
            tuple(_plainest(rest.values())),
            () if proven else tuple(self._in_part([*found, *partial])),
            self.search.tried,
            ended or self.deadline.ended,
        )

    def _search(
        self, partial: list[Standing], later: float, ask: Ask | None
    ) -> tuple[list[Standing], list[Standing]]:
        """Single faults, then those of other golden models, then pairs: found, and in part only."""
        search = self.search
        self.deadline.until(ALONE + later)
        singles = search.singles()
        found = self._on_the_rest(singles, ALONE + later)
        if not found and (singles or partial):
            self.deadline.until(ELSEWHERE + later)
            found = self._on_the_rest(search.transferred([*singles, *partial]), ELSEWHERE + later)
        if not found or found[0].edit.cost > FAR_FETCHED:
            self.deadline.until(ELSEWHERE + later)
            elsewhere = search.singles_elsewhere()
            found = _plainest([*found, *self._on_the_rest(elsewhere, ELSEWHERE + later)])
            singles += elsewhere
        if not found and ask is not None and self._look_longer(ask):
            self.deadline.until(ELSEWHERE + later)
            more = search.singles()
            found = self._on_the_rest(more, ELSEWHERE + later)
            singles += more
        if not found:
            known = {s.edit.key for s in singles}
            partial = [*singles, *(p for p in partial if p.edit.key not in known)]
            self.deadline.until(PAIRED + later)
            found = self._first_pairs(partial, PAIRED + later)
        return found, partial

    def _on_the_rest(self, found: Sequence[Standing], share: float) -> list[Standing]:
        """Those that reproduce all but the heavy observations, the plainest first."""
        self.deadline.until(max(share, HOLDING))
        light = [o for o in self.search.observations if not o.heavy]
        kept: list[Standing] = []
        for standing in _plainest(found):
            if kept and standing.edit.cost > kept[0].edit.cost:
                break  # nobody is told of what is more far-fetched
            begun = Standing(standing.edit, standing.alignments)
            kept += [
                s
                for s in self.proof.standing([begun], light)
                if self.proof.chained(s, self.search.observations) is not None
            ]
        return kept

    def _look_longer(self, ask: Ask) -> bool:
        """Whether there is more to go by: the design at rest, from its reset on and beyond what fails."""
        if self.looked:
            return False
        self.looked, self.paused = True, None
        more = longer_look(self.search.candidates, self.search.observations)
        seen = None if more is None else self._answer(ask, more, fresh=self._from_power_up)
        if more is None or seen is None:
            return False
        self.search.observations.append(self._observed(more, seen, fresh=self._from_power_up))
        return True

    def _observed(self, stimulus: Stimulus, seen: ObservedTrace, *, fresh: bool) -> Observation:
        flushed = max((o.flushed_cycles or 0 for o in self.search.observations), default=0)
        reading = self.search.candidates.reading
        return Observation.of(reading, stimulus, seen, flushed_cycles=flushed if fresh else None)

    def _first_pairs(self, partial: Sequence[Standing], share: float) -> list[Standing]:
        for found in self.search.pairs(p.edit for p in partial):
            kept = self._on_the_rest(found, share)
            if kept:
                return kept
            self.deadline.until(share)
        return []

    def _put_to_the_test(self, found: Sequence[Standing], ask: Ask) -> list[Standing]:
        """Ask for what tells the findings apart and shows whether there is more to it."""
        standing = self._let_go_on(found, ask) if len(found) > 1 else list(found)
        self.paused = None
        for stimulus in questions(self.search.candidates, standing) if standing else ():
            fresh = self._from_power_up or any(s.edit.whole for s in standing)
            observed = self._answer(ask, stimulus, fresh=fresh)
            if observed is None:
                break
            standing = self._after(standing, self._observed(stimulus, observed, fresh=fresh))
            if not standing or self.deadline.ended:
                return standing
        return self._let_rest(standing, ask) if len(standing) > 1 else standing

    def _let_rest(self, standing: Sequence[Standing], ask: Ask) -> list[Standing]:
        """From a reset on, until those that are left part ways."""
        candidates = self.search.candidates
        begin = rest(candidates.reading.model, 1, reset=candidates.check.reset is not None)
        if is_table(candidates.reading.model) or any(s.edit.whole for s in standing):
            return list(standing)
        more = self._parting(standing, Observation(candidates.reading, begin, None))
        if more is None:
            return list(standing)
        stimulus = begin.then(more)
        seen = self._answer(ask, stimulus, fresh=self._from_power_up)
        if seen is None:
            return list(standing)
        return self._after(standing, self._observed(stimulus, seen, fresh=self._from_power_up))

    def _parting(self, standing: Sequence[Standing], observation: Observation) -> Stimulus | None:
        try:
            return continuation(standing, observation, self.deadline)
        except (OutOfTime, TooLong):
            return None

    @property
    def _from_power_up(self) -> bool:
        """Without a reset nothing else brings a design into a known state."""
        candidates = self.search.candidates
        return candidates.check.reset is None and not is_table(candidates.reading.model)

    def _let_go_on(self, found: Sequence[Standing], ask: Ask) -> list[Standing]:
        """The long way to a difference need not be gone twice."""
        if self.paused is None or not self.paused.heavy:
            return list(found)
        more = self._parting(found, self.paused)
        seen = None if more is None else self._answer(ask, more, fresh=False)
        if more is None or seen is None:
            return list(found)
        observation = continued(self.paused, more, seen)
        return list(found) if observation is None else self._after(found, observation)

    def _answer(self, ask: Ask, stimulus: Stimulus, *, fresh: bool) -> ObservedTrace | None:
        """None when there is no time for it, or the simulation does not end in time."""
        seconds = self.deadline.left_seconds / 2
        if self.deadline.ended or seconds < SHORTEST_ANSWER_SECONDS:
            return None
        try:
            with self.deadline.waiting():
                return ask(stimulus, fresh=fresh, seconds=seconds)
        except EveryedgeError:
            return None

    def _after(self, standing: Sequence[Standing], observation: Observation) -> list[Standing]:
        """An answer that there is no time to look at counts as not asked for."""
        self.search.observations.append(observation)
        kept = self.proof.standing(standing, [observation])
        undecided = [s for s in standing if s.edit.key in self.proof.open]
        if kept or not undecided:
            return kept
        self.search.observations.remove(observation)
        for one in undecided:
            del self.proof.open[one.edit.key]
        return undecided

    def _proven(self, found: Sequence[Standing]) -> list[Standing]:
        """Those that reproduce the long observations as well; the plainest are tried while there is time."""
        heavy = [o for o in self.search.observations if o.heavy]
        heavy.sort(key=lambda o: (not o.fails, o.rows))
        proven = []
        for standing in _plainest(found)[:MOST_PROVEN]:
            for kept in self.proof.standing([standing], heavy):
                whole = self.proof.chained(kept, self.search.observations)
                if whole is not None and whole.speaks:
                    proven.append(whole)
        return proven

    def _in_place(self, standing: Standing) -> bool:
        """It needs no other latency, nor another kind of reset, than the golden reading has."""
        reading = self.search.candidates.reading
        own = Alignment(reading.kind, reading.latency_cycles)
        return standing.edit.unpinned or standing.edit.reset != "kept" or own in standing.alignments

    def _in_part(self, partial: Sequence[Standing]) -> list[Standing]:
        """The plainest of them that does reproduce all that fails, from end to end."""
        candidates = [s for s in _plainest(partial) if not s.edit.whole]
        for standing in candidates[:MOST_PROVEN]:
            begun = Standing(standing.edit, standing.alignments)
            kept = self.proof.standing([begun], self.search.failing)
            if kept and kept[0].speaks:
                return kept
        return []


def _is_likely(standing: Standing) -> bool:
    """Plain enough to be told although not all could be replayed; of two faults at once that is not so."""
    return standing.speaks and len(standing.edit.faults) == 1 and standing.edit.cost < FAR_FETCHED


def _plainest(found: Iterable[Standing]) -> list[Standing]:
    return sorted(found, key=lambda s: s.edit.cost)
