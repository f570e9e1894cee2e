"""The signals inside a design around a failure, for those who look at waves."""

from __future__ import annotations

from dataclasses import replace

from verify.bench import ResolvedCheck, to_drive
from verify.checks.differing.confirm import Confirmed
from verify.checks.session import opening
from verify.checks.settings import Settings
from verify.pictures import Internals
from verify.results import Failure
from verify.simulation.internals import record_internals

__all__ = ["with_internals"]

BEFORE, AFTER = 96, 64
"""Clocks on each side of the first difference: as many as waves show."""

LONGEST_CYCLES = 3_000_000
"""Some ten seconds on Icarus; what is inside a design after a longer run is not looked up."""


def with_internals(
    check: ResolvedCheck, confirmed: Confirmed, failure: Failure, settings: Settings
) -> Failure:
    """``failure`` with the design's own signals, where they are asked for and can be had.

    The failing stimulus is played once more, from power-up, on Icarus.
    """
    stimulus, mismatch = confirmed.stimulus, failure.mismatch
    if not settings.internals or mismatch is None or not confirmed.repeats:
        return failure
    first, last = max(mismatch.cycle - BEFORE, 0), min(mismatch.cycle + AFTER, stimulus.length) - 1
    if last >= LONGEST_CYCLES:
        return failure
    played = [*opening(check, confirmed.trial.reading.model), stimulus]
    drives = [to_drive(check, each) for each in played]
    signals = record_internals(check.target, drives, first, last, limits=settings.limits)
    return replace(failure, internals=Internals(first, signals)) if signals else failure
