"""Make a failure small, and make sure that it happens again from power-up."""

from __future__ import annotations

from dataclasses import dataclass

from verify.checks.differing.evidence import AFTER_CYCLES
from verify.checks.session import Session
from verify.compare import Reading, Trial, cut_stimulus, try_reading
from verify.models.golden import CombinationalModel
from verify.signals import ObservedTrace, Run, Stimulus
from verify.stimulus import shrink

__all__ = ["Confirmed", "confirm"]

TRIES = 150
TRIES_FROM_POWER_UP = 16
"""Calls of the simulator spent on shrinking; from power-up each costs a start of the simulator."""


@dataclass(frozen=True, slots=True, eq=False)
class Confirmed:
    """A failing stimulus, the trial that shows it, and whether it repeats from power-up."""

    stimulus: Stimulus
    observed: ObservedTrace
    trial: Trial
    repeats: bool


def confirm(
    session: Session, reading: Reading, failing: Stimulus, history: list[Stimulus], first: int
) -> Confirmed | None:
    """Shrink ``failing`` and show it again on a design fresh from power-up.

    ``first``: the first cycle of ``failing`` that differs; what comes after it is left out at once.
    ``history``: what this session played before it, for a failure that lives on what an earlier
    stimulus left behind (a register that reset does not reach). None: nothing fails any more.
    """
    failing = cut_stimulus(failing, 0, first)
    if session.check.reset is not None or isinstance(reading.model, CombinationalModel):
        small = _shrunk(session, reading, failing, TRIES, fresh=False)
        confirmed = small and _from_power_up(session, reading, small)
        if confirmed:
            return confirmed
    whole = _joined([*history, failing])
    confirmed = _from_power_up(session, reading, whole)
    if confirmed is None:
        return None
    small = _shrunk(session, reading, whole, TRIES_FROM_POWER_UP, fresh=True)
    return (small and _from_power_up(session, reading, small)) or confirmed


def _shrunk(
    session: Session, reading: Reading, failing: Stimulus, tries: int, *, fresh: bool
) -> Stimulus | None:
    def fails(stimulus: Stimulus) -> int | None:
        if fresh:
            session.power_down()
        return _trial(session, reading, stimulus)[0].difference.first

    return shrink(reading.model, failing, fails, resets=session.check.resets, tries=tries)


def _from_power_up(session: Session, reading: Reading, stimulus: Stimulus) -> Confirmed | None:
    """Play it once more, with a few cycles behind the failing one to look at."""
    session.power_down()
    longer = _prolonged(stimulus)
    trial, observed = _trial(session, reading, longer)
    if trial.difference.first is None:
        return None
    return Confirmed(longer, observed, trial, repeats=True)


def _trial(session: Session, reading: Reading, stimulus: Stimulus) -> tuple[Trial, ObservedTrace]:
    observed = session.observe(reading.model, stimulus)
    return try_reading(reading, stimulus, observed), observed


def _prolonged(stimulus: Stimulus) -> Stimulus:
    values = tuple(int(c[-1]) for c in stimulus.values)
    return stimulus.then(Stimulus.of(stimulus.signals, [Run(AFTER_CYCLES, values)]))


def _joined(stimuli: list[Stimulus]) -> Stimulus:
    whole = stimuli[0]
    for stimulus in stimuli[1:]:
        whole = whole.then(stimulus)
    return whole
