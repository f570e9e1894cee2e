"""A close look at the cycles around a late difference, to tell likely edits from unlikely ones.

The golden model's state just before the difference is handed to the edited model. What does not
fit there may still be the fault (when it has been at work all along), so this only says what to
try first; and what fits has still to be played from the beginning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from verify.compare import cut_observed, cut_stimulus, find_difference, uncompared_cycles
from verify.diagnose.bent.counter import BentCounter
from verify.diagnose.bent.events import TooLong
from verify.diagnose.bent.inputs import LateInputs
from verify.diagnose.bent.wrapping import Wrapper
from verify.diagnose.deadline import Deadline, timed
from verify.diagnose.fault import Edit
from verify.diagnose.kinds import follows, is_table
from verify.diagnose.matching import Alignment, Match
from verify.diagnose.observation import Observation
from verify.models.golden import GoldenModel, State, Values
from verify.models.playing import expect
from verify.signals import ObservedTrace, Stimulus

__all__ = ["CloseUp"]

LONG_ROWS = 400
"""Shorter observations are looked at as a whole."""

ROWS_BEFORE = 150
"""Changes before the difference that are in the picture."""

CYCLES_AFTER = 64


@dataclass(frozen=True, slots=True, eq=False)
class CloseUp:
    """``state``: the golden one at the first cycle; ``before``: the inputs of the clock before."""

    stimulus: Stimulus
    observed: ObservedTrace
    state: State
    before: Values

    @classmethod
    def of(cls, observation: Observation, deadline: Deadline) -> CloseUp | None:
        """None for what is short, or has no state to hand over. Raises OutOfTime."""
        observed, reading = observation.observed, observation.reading
        model, first = reading.model, observation.first_difference
        if observed is None or first is None or (is_table(model) or follows(model)):
            return None
        row = int((observed.cycles <= first).sum()) - 1
        if row < LONG_ROWS:
            return None
        begin = int(observed.cycles[row - ROWS_BEFORE])
        earlier = cut_stimulus(observation.stimulus, 0, begin - 1)
        last = min(first + CYCLES_AFTER, observed.length - 1)
        values = tuple(int(c[-1]) for c in earlier.values)
        return cls(
            cut_stimulus(observation.stimulus, begin, last),
            cut_observed(observed, begin, last),
            expect(timed(model, deadline), earlier, reading.kind)[1],
            values,
        )

    def match(self, edit: Edit, alignments: Sequence[Alignment]) -> Match | None:
        """How the edit does there, from the golden state on; None when that cannot be said."""
        if edit.reset != "kept" or edit.whole or edit.unknown:
            return None
        state = _adopted(edit.model, self.state, self.before)
        if state is None:
            return None
        found, wrong = [], 1.0
        for kind in dict.fromkeys(a.kind for a in alignments):
            try:
                trace = expect(edit.model, self.stimulus, kind, state)[0]
            except (TooLong, IndexError, ValueError):  # a state that is not of this model's shape
                return None
            for latency in (a.latency_cycles for a in alignments if a.kind is kind):
                delays = [latency + edit.skew.get(s.name, 0) for s in trace.signals]
                masked = uncompared_cycles(
                    self.stimulus, kind, latency_cycles=max(delays), opens_unreset=True
                )
                difference = find_difference(trace, self.observed, delays_cycles=delays, masked=masked)
                compared = sum(s.compared_cycles for s in difference.signals)
                wrong = min(wrong, difference.wrong_cycles / max(compared, 1))
                if difference.matches:
                    found.append(Alignment(kind, latency))
        return Match(tuple(found), 0, wrong)


def _adopted(model: GoldenModel, state: State, before: Values) -> State | None:
    """The golden state as one of the edited model; None when it cannot be said."""
    if isinstance(model, LateInputs):
        inside = _adopted(model.inner, state, before)
        return None if inside is None else (*inside, *(before[i] for i in model.late))
    size = len(model.initial())
    if isinstance(model, Wrapper):
        inside = _adopted(model.inner, state, before)
        return None if inside is None else (*inside, *(0 for _ in range(size - len(inside))))
    if isinstance(model, BentCounter):
        number, wrapped, known = state
        return replace(model, power_up=(number, wrapped, known)).initial()
    return (*state, *(0 for _ in range(size - len(state)))) if size >= len(state) else None
