"""Read the phase of a design without reset off what it did first."""

from __future__ import annotations

import numpy as np

from verify.signals import ObservedTrace, Stimulus

__all__ = ["counted_clocks", "first_change", "first_cycle_at"]


def first_cycle_at(
    observed: ObservedTrace, index: int, level: int, *, after_other: bool = False
) -> int | None:
    """The first cycle in which output ``index`` is known and equals ``level``.

    ``after_other``: only where it comes from another known value, so that a true edge is meant.
    """
    at = (observed.values[index] == level) & _known(observed, index)
    if after_other:
        before = (observed.values[index] != level) & _known(observed, index)
        at[1:] &= before[:-1]
        at[:1] = False
    rows = np.flatnonzero(at)
    return int(observed.cycles[rows[0]]) if len(rows) else None


def first_change(observed: ObservedTrace, indices: tuple[int, ...]) -> int | None:
    """The first cycle in which one of the outputs changes from one known value to another."""
    changed = np.zeros(len(observed.cycles), dtype=bool)
    for index in indices:
        values, known = observed.values[index], _known(observed, index)
        changed[1:] |= np.asarray(values[1:] != values[:-1], dtype=bool) & known[1:] & known[:-1]
    rows = np.flatnonzero(changed)
    return int(observed.cycles[rows[0]]) if len(rows) else None


def _known(observed: ObservedTrace, index: int) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    unknown = None if observed.unknown is None else observed.unknown[index]
    if unknown is None:
        return np.ones(len(observed.cycles), dtype=bool)
    return np.asarray(unknown == 0, dtype=bool)


def counted_clocks(stimulus: Stimulus, until: int, *, enable: int, clears: tuple[int, ...]) -> int | None:
    """How many of the cycles before ``until`` were enabled; None when one of them cleared the phase.

    ``enable`` and ``clears``: places among the signals, -1 for one that is not bound. A negative
    ``until`` lies before the observation: every cycle from there on counts, backwards.
    """
    if until < 0:
        return until
    total = at = 0
    for run in stimulus.runs():
        cycles = min(run.cycles, until - at)
        if cycles <= 0:
            break
        if any(clear >= 0 and run.values[clear] for clear in clears):
            return None
        if enable < 0 or run.values[enable]:
            total += cycles
        at += cycles
    return total
