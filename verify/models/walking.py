"""Leaps from event to event, for models that stand still between events but for a count of clocks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from verify.models.golden import GoldenModel, Leap, State, Values
from verify.signals import Column, Signal
from verify.signals.columns import INT64_BITS

__all__ = ["Offsets", "Walker", "join", "joined", "merge", "pulses", "rows", "walk"]

Offsets = NDArray[np.int64]
"""Strictly increasing cycles, counted from the start of a run."""


class Walker(GoldenModel, Protocol):
    """A model that knows for how long nothing will happen."""

    def quiet(self, state: State, inputs: Values) -> int:
        """A number of cycles during which the outputs stay as they are; 0 when in doubt."""
        ...

    def skip(self, state: State, inputs: Values, cycles: int) -> State:
        """The state after up to ``quiet(state, inputs)`` cycles."""
        ...


def walk(model: Walker, state: State, inputs: Values, cycles: int) -> Leap:
    """The leap, by the one-cycle form wherever something happens."""
    offsets: list[int] = []
    shown: list[tuple[Values, Values | None]] = []
    at = 0
    while at < cycles:
        now = (model.out(state, inputs), model.cares(state, inputs))
        if not shown or shown[-1] != now:
            offsets.append(at)
            shown.append(now)
        pause = min(model.quiet(state, inputs), cycles - at)
        if pause > 0:
            state = model.skip(state, inputs, pause)
            at += pause
            continue
        following = model.next(state, inputs)
        if following == state:
            break
        state = following
        at += 1
    return rows(model.outputs, state, offsets, [v for v, _ in shown], [c for _, c in shown])


def rows(
    outputs: tuple[Signal, ...],
    state: State,
    offsets: list[int],
    values: list[Values],
    cares: list[Values | None],
) -> Leap:
    """A leap from rows of values; ``state`` is the one after it."""
    columns = tuple(
        _column(list(c), s.width) for c, s in zip(zip(*values, strict=True), outputs, strict=True)
    )
    masks: tuple[Column | None, ...] | None = None
    everything = tuple(s.mask for s in outputs)
    if any(c is not None and c != everything for c in cares):
        filled = [everything if c is None else c for c in cares]
        masks = tuple(
            None if all(m == s.mask for m in c) else _column(list(c), s.width)
            for c, s in zip(zip(*filled, strict=True), outputs, strict=True)
        )
    return Leap(state, np.array(offsets, np.int64), columns, masks)


def _column(values: list[int], width: int) -> Column:
    dtype: Any = np.int64 if width <= INT64_BITS else object
    result = np.array(values, dtype=dtype)
    result.flags.writeable = False
    return result


def join(outputs: tuple[Signal, ...], first: Leap, cycles: int, second: Leap) -> Leap:
    """``second`` after the ``cycles`` cycles of ``first``."""
    return joined(outputs, [(0, first), (cycles, second)])


def joined(outputs: tuple[Signal, ...], pieces: Sequence[tuple[int, Leap]]) -> Leap:
    """Leaps, at least one, each with the cycle at which it begins; the state is that of the last."""
    leaps = [leap for _, leap in pieces]
    if len(leaps) == 1:
        return leaps[0]
    cares: tuple[Column | None, ...] | None = None
    if any(leap.cares is not None for leap in leaps):
        cares = tuple(np.concatenate([_mask(leap, i, s) for leap in leaps]) for i, s in enumerate(outputs))
    return Leap(
        leaps[-1].state,
        np.concatenate([leap.offsets + at for at, leap in pieces]),
        tuple(np.concatenate(column) for column in zip(*(leap.columns for leap in leaps), strict=True)),
        cares,
    )


def _mask(leap: Leap, index: int, signal: Signal) -> Column:
    mask = None if leap.cares is None else leap.cares[index]
    return np.full(len(leap.offsets), signal.mask, dtype=leap.columns[index].dtype) if mask is None else mask


def pulses(times: Offsets, cycles: int) -> tuple[Offsets, Column]:
    """A track that is 1 in each cycle of ``times`` (all below ``cycles``) and 0 in the others.

    A track: offsets that start at 0, and the value from each of them on.
    """
    if len(times) == 0:
        return np.zeros(1, np.int64), np.zeros(1, np.int64)
    apart = times[1:] != times[:-1] + 1
    rises = times[np.concatenate([[True], apart])]
    falls = times[np.concatenate([apart, [True]])] + 1
    offsets = np.empty(2 * len(rises) + 1, np.int64)
    offsets[0], offsets[1::2], offsets[2::2] = 0, rises, falls
    values = np.zeros(len(offsets), np.int64)
    values[1::2] = 1
    begin = 1 if rises[0] == 0 else 0
    end = len(offsets) - (1 if falls[-1] >= cycles else 0)
    return offsets[begin:end], values[begin:end]


def merge(tracks: list[tuple[Offsets, Column]]) -> tuple[Offsets, tuple[Column, ...]]:
    """Several tracks over the offsets of all of them."""
    distinct = {id(offsets): offsets for offsets, _ in tracks}
    if len(distinct) == 1:
        return tracks[0][0], tuple(values for _, values in tracks)
    # A stable sort merges tracks that are sorted already; np.unique would hash them.
    joined = np.sort(np.concatenate(list(distinct.values())), kind="stable")
    joined = joined[np.concatenate([[True], joined[1:] != joined[:-1]])]
    at = {key: np.searchsorted(offsets, joined, side="right") - 1 for key, offsets in distinct.items()}
    return joined, tuple(values[at[id(offsets)]] for offsets, values in tracks)
