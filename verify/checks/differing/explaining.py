"""Ask the diagnosis what a failure comes from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from verify.bench import ResolvedCheck
from verify.checks.differing.confirm import Confirmed
from verify.checks.differing.memory import Memory
from verify.checks.differing.pointing import Pointer
from verify.checks.session import FLUSH_CYCLES, Session
from verify.compare import Trial
from verify.diagnose import Beside, Deadline, Observation, OutOfTime, Told, diagnose, rule_table, tell
from verify.diagnose.kinds import follows, is_table
from verify.models.family import Candidate
from verify.signals import ObservedTrace, Stimulus

__all__ = ["explain", "explain_seen"]

TIME_UP = "the time for the search of the fault was up: what failed is a long run"

Failing = tuple[Stimulus, ObservedTrace, Trial]
"""A stimulus played from its beginning on, what came of it, and the golden reading held against it."""


def explain(
    session: Session,
    memory: Memory,
    failing: Failing | None,
    confirmed: Confirmed,
    bases: Sequence[Candidate],
    *,
    seconds: float | None = None,
) -> Told:
    """The faults that reproduce what this check has seen, and what has to be said about the search.

    ``failing``: what failed in the run, None when no more than its end was kept. ``seconds``: of wall
    time that it may take, None: as usual.
    A verdict is not lost to its explanation: an error in the search is told as a note.
    """
    clocks = session.clocks
    deadline = Deadline() if seconds is None else Deadline(seconds)
    try:
        return _searched(session, _Seen(memory, failing, confirmed), bases, deadline)
    except Exception as error:  # noqa: BLE001 -- see above
        return _broken_off(error)
    finally:
        session.clocks = clocks
        session.limits = None


def explain_seen(
    check: ResolvedCheck,
    stimulus: Stimulus,
    observed: ObservedTrace,
    trial: Trial,
    bases: Sequence[Candidate],
    *,
    seconds: float | None = None,
) -> Told:
    """The faults that reproduce one long run, of which nothing more can be asked."""
    deadline = Deadline() if seconds is None else Deadline(seconds)
    seen = Observation(trial.reading, stimulus, observed, trial)
    try:
        found = diagnose(check, trial.reading, [seen], bases=bases, deadline=deadline)
        return tell(found, everything=True, beside=_beside(check, seen))
    except Exception as error:  # noqa: BLE001 -- see explain()
        return _broken_off(error)


def _broken_off(error: Exception) -> Told:
    """Nothing but a note."""
    if isinstance(error, OutOfTime):
        return Told((), (TIME_UP,))
    return Told((), (f"the search for the fault broke off: {error!r}",))


def _beside(check: ResolvedCheck, first: Observation) -> Beside:
    pointer = Pointer(check, first.reading.model)
    return Beside(pointer.place, lambda edit: rule_table(edit, first))


class _Seen(NamedTuple):
    """Whatever the check has seen of the design: what matched, what failed in the run, and the failure."""

    memory: Memory
    failing: Failing | None
    confirmed: Confirmed


def _searched(session: Session, seen: _Seen, bases: Sequence[Candidate], deadline: Deadline) -> Told:
    check, confirmed = session.check, seen.confirmed
    reading = confirmed.trial.reading
    separate = check.reset is not None or is_table(reading.model)
    history, everything = _history(seen, flushed=check.reset is not None)

    def ask(stimulus: Stimulus, *, fresh: bool, seconds: float) -> ObservedTrace:
        if fresh:
            session.power_down()
        session.hurry(seconds)
        return session.observe(reading.model, stimulus)

    found = diagnose(
        check,
        reading,
        history if separate else history[:1],
        ask,
        bases=bases,
        deadline=deadline,
        paused=history[0] if confirmed.repeats else None,
    )
    return tell(found, everything=everything, beside=_beside(check, history[0]))


def _history(seen: _Seen, *, flushed: bool) -> tuple[list[Observation], bool]:
    """What was seen, and whether that is everything; the confirmed failure first."""
    memory, failing, confirmed = seen
    reading = confirmed.trial.reading
    held_cycles = FLUSH_CYCLES if flushed and confirmed.repeats else None
    history = [Observation(reading, confirmed.stimulus, confirmed.observed, confirmed.trial, held_cycles)]
    if failing is not None and failing[0] is not confirmed.stimulus:
        stimulus, observed, trial = failing
        history.append(Observation(reading, stimulus, observed, trial, turn=len(memory.seen)))
    everything = True
    for turn, (played, trace) in enumerate(memory.seen):
        if trace is None and follows(reading.model):
            everything = False
            continue
        history.append(Observation(reading, played, trace, turn=turn))
    return history, everything
