"""From a failure to the faults that explain it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from verify.bench import ResolvedCheck
from verify.compare import Reading
from verify.diagnose.fault import Edit, capital, counted
from verify.diagnose.observation import Observation, Standing
from verify.diagnose.patience import Patience
from verify.diagnose.questions import questions
from verify.diagnose.search import Search
from verify.errors import EveryedgeError
from verify.models.family import Candidate
from verify.results import Explanation
from verify.signals import ObservedTrace, Stimulus

__all__ = ["Ask", "Diagnosis", "diagnose", "explain_failure"]


SECONDS = 4.5
"""Of processor time for one diagnosis; what has been found by then is told."""

SEARCHING, ASKING, LONGER = 0.6, 0.75, 0.06
"""Shares of that time after which searching, and asking, give way to what comes next; and how much
later they do in every further round.
"""

MOST_PROVEN = 3
"""So many findings that nothing tells apart are played on everything."""

MOST_ROUNDS = 3
"""So often a question may show that nothing found so far is the whole story."""


class Ask(Protocol):
    """Plays a stimulus on the design."""

    def __call__(self, stimulus: Stimulus, *, fresh: bool) -> ObservedTrace:
        """What the outputs of the model do; ``fresh``: the design is powered up anew before."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Diagnosis:
    """``found``: edits that reproduce everything, the plainest first; none of them could be told apart
    from the first. ``partial``: what reproduces the failing stimulus but not all that was seen.
    ``compared_cycles``: clocks that ``found[0]`` reproduces.
    """

    found: tuple[Standing, ...]
    partial: tuple[Standing, ...] = ()
    compared_cycles: int = 0
    seconds: float = 0.0


def explain_failure(
    check: ResolvedCheck,
    reading: Reading,
    history: Sequence[Observation],
    ask: Ask | None = None,
    *,
    bases: Sequence[Candidate] = (),
) -> tuple[Explanation, ...]:
    """The faults that reproduce everything in ``history``, in words; () when nothing does."""
    result = diagnose(check, reading, history, ask, bases=bases)
    return tuple(_told(result))


def diagnose(
    check: ResolvedCheck,
    reading: Reading,
    history: Sequence[Observation],
    ask: Ask | None = None,
    *,
    bases: Sequence[Candidate] = (),
    seconds: float = SECONDS,
) -> Diagnosis:
    """Search for faults and, with ``ask``, put what is found to the test."""
    began = time.monotonic()
    order = sorted(history, key=lambda o: (o.golden.difference.matches, o.stimulus.length))
    models = [reading.candidate, *(c for c in bases if c.model != reading.model)]
    search = Search(check, reading, models, order, Patience(seconds))
    partial: list[Standing] = []
    found: list[Standing] = []
    for number in range(MOST_ROUNDS):
        search.patience.until(SEARCHING + number * LONGER)
        singles = search.singles()
        found = _on_the_rest(search, singles)
        if not found and (singles or partial):
            found = _on_the_rest(search, search.transferred([*singles, *partial]))
        if not found:
            elsewhere = search.singles_elsewhere()
            found = _on_the_rest(search, elsewhere)
            singles += elsewhere
        if not found:
            partial = [*singles, *(p for p in partial if p.edit.key not in {s.edit.key for s in singles})]
            found = _first_pairs(search, partial)
        if not found or ask is None:
            break
        search.patience.until(ASKING + number * LONGER)
        standing = _put_to_the_test(search, found, ask)
        if standing:
            found = standing
            break
        search.rejected += [s.edit for s in found]
        partial, found = [*found, *partial], []
    search.patience.until(1.0)
    proven = _proven(search, found)
    partial = [*(s for s in found if s not in proven), *partial]
    cycles = sum(o.golden.difference.compared_cycles for o in search.observations)
    return Diagnosis(tuple(proven), tuple(partial), cycles, time.monotonic() - began)


def _on_the_rest(search: Search, found: Sequence[Standing]) -> list[Standing]:
    """Those that reproduce all but the heavy observations, the plainest first."""
    light = [o for o in search.observations if not o.heavy]
    rest = [o for o in light if o.golden.difference.matches or o.opening is not o]
    return search.verified(sorted(found, key=lambda s: s.edit.cost), rest)


def _first_pairs(search: Search, partial: Sequence[Standing]) -> list[Standing]:
    for standing in search.pairs(p.edit for p in partial):
        kept = _on_the_rest(search, [standing])
        if kept:
            return kept
    return []


def _put_to_the_test(search: Search, found: Sequence[Standing], ask: Ask) -> list[Standing]:
    """Ask for what tells the findings apart and shows whether there is more to it."""
    standing = list(found)
    for stimulus in questions(search, standing):
        if search.patience.ended:
            break
        fresh = any(s.edit.whole for s in standing)
        try:
            observed = ask(stimulus, fresh=fresh)
        except EveryedgeError:
            break
        flushed = search.flushed_cycles if fresh else None
        observation = Observation.of(search.reading, stimulus, observed, flushed)
        search.observations.append(observation)
        standing = search.verified(standing, [observation])
        if not standing:
            return []
    return standing


def _proven(search: Search, found: Sequence[Standing]) -> list[Standing]:
    """Those that reproduce the long observations as well; the plainest are tried while there is time."""
    heavy = sorted((o for o in search.observations if o.heavy), key=lambda o: o.stimulus.length)
    proven = []
    for standing in sorted(found, key=lambda s: s.edit.cost)[:MOST_PROVEN]:
        for kept in search.verified([standing], heavy):
            whole = search.chained(kept)
            if whole is not None and whole.speaks:
                proven.append(whole)
    return proven


def _told(result: Diagnosis) -> list[Explanation]:
    if result.found:
        best = result.found[0]
        return [Explanation(best.edit.key, _sentence(best, result), True)]
    if result.partial:
        best = min(result.partial, key=lambda s: s.edit.cost)
        text = (
            f"{_faults_text(best.edit)}. {capital(_claim(best.edit))} reproduces the failing stimulus, "
            "but not everything that was seen: something else is wrong as well."
        )
        return [Explanation(best.edit.key, text, False)]
    return []


def _sentence(best: Standing, result: Diagnosis) -> str:
    cycles = counted(result.compared_cycles, "clock")
    if best.edit.whole:
        cycles = f"{counted(best.compared_cycles, 'clock')} from power-up on"
    text = f"{_faults_text(best.edit)}. {capital(_claim(best.edit))} reproduces all {cycles}."
    said = {_faults_text(best.edit)}
    others = {_faults_text(s.edit) for s in result.found[1:] if s.edit.cost == best.edit.cost} - said
    alike = sorted(others)[:2]
    if alike:
        text += " Nothing that was seen tells it from this: " + "; or ".join(alike) + "."
    return text


def _faults_text(edit: Edit) -> str:
    return "; and ".join(fault.text for fault in edit.faults)


def _claim(edit: Edit) -> str:
    return " with ".join(fault.claim for fault in edit.faults)
