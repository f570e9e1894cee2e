"""Ask the diagnosis what a failure comes from."""

from __future__ import annotations

from collections.abc import Sequence

from verify.checks.confirm import Confirmed
from verify.checks.session import FLUSH_CYCLES, Session
from verify.compare import Reading
from verify.diagnose import Observation, explain_failure
from verify.models.family import Candidate
from verify.models.golden import CombinationalModel, FollowingModel
from verify.results import Explanation
from verify.signals import ObservedTrace, Stimulus

__all__ = ["Memory", "explanations_of"]

ROWS_KEPT = 600_000
"""Rows of observed traces that are kept for the diagnosis, all stimuli together."""


class Memory:
    """What was played without a difference; long traces are forgotten, their stimuli are not.

    A trace that matched is what the golden model promises, so a forgotten one can be had again.
    """

    def __init__(self) -> None:
        self.seen: list[tuple[Stimulus, ObservedTrace | None]] = []
        self._room = ROWS_KEPT

    def add(self, stimulus: Stimulus, observed: ObservedTrace) -> None:
        """Keep one."""
        rows = len(observed.cycles) * max(len(observed.signals), 1)
        kept = observed if rows <= self._room else None
        self._room -= rows if kept is not None else 0
        self.seen.append((stimulus, kept))


def explanations_of(
    session: Session,
    reading: Reading,
    memory: Memory,
    failing: tuple[Stimulus, ObservedTrace],
    confirmed: Confirmed,
    bases: Sequence[Candidate],
) -> tuple[Explanation, ...]:
    """The faults that reproduce all that this check has seen; () when none is found.

    A verdict is not lost to its explanation: a mistake in the search leaves the failure unexplained.
    """
    clocks = session.clocks
    try:
        return _explained(session, reading, memory, failing, confirmed, bases)
    except Exception:  # noqa: BLE001 -- see above; the diagnosis is tested by itself
        return ()
    finally:
        session.clocks = clocks


def _explained(
    session: Session,
    reading: Reading,
    memory: Memory,
    failing: tuple[Stimulus, ObservedTrace],
    confirmed: Confirmed,
    bases: Sequence[Candidate],
) -> tuple[Explanation, ...]:
    check, model = session.check, reading.model
    flushed = FLUSH_CYCLES if check.reset is not None and confirmed.repeats else None
    history = [Observation.of(reading, confirmed.stimulus, confirmed.observed, flushed)]
    separate = check.reset is not None or isinstance(model, CombinationalModel)
    if separate:
        if failing[0] is not confirmed.stimulus:
            history.append(Observation.of(reading, *failing))
        history += _matching(reading, memory)

    def ask(stimulus: Stimulus, *, fresh: bool) -> ObservedTrace:
        if fresh or not separate:
            session.power_down()
        return session.observe(model, stimulus)

    return explain_failure(check, reading, history, ask, bases=bases)


def _matching(reading: Reading, memory: Memory) -> list[Observation]:
    found = []
    for turn, (stimulus, observed) in enumerate(memory.seen):
        if observed is not None:
            found.append(Observation.of(reading, stimulus, observed, turn=turn))
        elif not isinstance(reading.model, FollowingModel):
            found.append(Observation.recalled(reading, stimulus, turn))
    return found
