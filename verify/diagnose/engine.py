"""From a failure to the faults that explain it."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

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

Ask = Callable[[Stimulus], "Observation | None"]

SECONDS = 4.0
"""Of processor time for one diagnosis; what has been found by then is told."""

MOST_ROUNDS = 4
"""So often a question may show that nothing found so far is the whole story."""


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
    ask: Callable[[Stimulus], ObservedTrace] | None = None,
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
    ask: Callable[[Stimulus], ObservedTrace] | None = None,
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
        on_failing = search.singles() if number == 0 or not partial else []
        found = _all_of_it(search, on_failing)
        if not found:
            partial += on_failing
            found = _first_pairs(search, partial)
        if not found or ask is None:
            break
        asked = _put_to_the_test(search, found, ask)
        kept = [s for s in found if s in asked or s.edit in {a.edit for a in asked}]
        if asked or search.out_of_time:
            found = asked or kept
            break
        partial = [*found, *partial]
        found = []
    found.sort(key=lambda s: s.edit.cost)
    cycles = sum(o.golden.difference.compared_cycles for o in search.observations)
    return Diagnosis(tuple(found), tuple(partial), cycles, time.monotonic() - began)


def _all_of_it(search: Search, on_failing: Sequence[Standing]) -> list[Standing]:
    """Those that reproduce the rest of the history too, the plainest alone when there are several."""
    rest = [o for o in search.observations if o.golden.difference.matches]
    return search.verified(sorted(on_failing, key=lambda s: s.edit.cost), rest)


def _first_pairs(search: Search, partial: Sequence[Standing]) -> list[Standing]:
    rest = [o for o in search.observations if o.golden.difference.matches]
    for standing in search.pairs(p.edit for p in partial):
        kept = search.verified([standing], rest)
        if kept:
            return kept
    return []


def _put_to_the_test(
    search: Search, found: Sequence[Standing], ask: Callable[[Stimulus], ObservedTrace]
) -> list[Standing]:
    """Ask for what tells the findings apart and shows whether there is more to it."""
    standing = list(found)
    for stimulus in questions(search, standing):
        if search.out_of_time:
            break
        try:
            observed = ask(stimulus)
        except EveryedgeError:
            break
        observation = Observation.of(search.reading, stimulus, observed)
        search.observations.append(observation)
        standing = search.verified(standing, [observation])
        if not standing:
            return []
    return standing


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
