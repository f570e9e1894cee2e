"""Leaps of edited models: from event to event, and in whole rounds once a state comes again."""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np

from verify.models.golden import GoldenModel, Leap, State, Values
from verify.signals import Column, column

__all__ = ["TooLong", "event_leap"]

MOST_EVENTS = 60_000
"""Events that one leap may cost before it is given up."""

WARM_UP = 24
"""Events before states are remembered."""


class TooLong(Exception):
    """Playing this model on this stimulus would take too long, or comes to what it does not know."""


class Stepping(GoldenModel, Protocol):
    """A model for :func:`event_leap`."""

    def quiet(self, state: State, inputs: Values) -> int:
        """Cycles during which the outputs stay and nothing but counting happens; 0 when in doubt."""
        ...

    def skip(self, state: State, inputs: Values, cycles: int) -> State:
        """The state after up to ``quiet`` cycles."""
        ...

    def stretch(self, state: State, inputs: Values, cycles: int) -> tuple[int, Leap] | None:
        """Up to ``cycles`` cycles that can be had in one piece, and how many; None: none."""
        ...


class _Rows:
    """Rows collected in pieces: single ones in lists, whole leaps as arrays."""

    def __init__(self, model: GoldenModel) -> None:
        self._outputs = model.outputs
        self._at: list[int] = []
        self._shown: list[tuple[Values, Values | None]] = []
        self._pieces: list[tuple[Any, tuple[Column, ...], tuple[Column, ...]]] = []

    def add(self, at: int, values: Values, masks: Values | None) -> None:
        if not self._shown or self._shown[-1] != (values, masks):
            self._at.append(at)
            self._shown.append((values, masks))

    def add_leap(self, at: int, leap: Leap) -> None:
        self._close()
        cares = leap.cares or (None,) * len(self._outputs)
        masks = tuple(
            column(np.full(len(leap.offsets), s.mask, c.dtype), s.width) if m is None else m
            for m, c, s in zip(cares, leap.columns, self._outputs, strict=True)
        )
        self._pieces.append((leap.offsets + at, leap.columns, masks))

    def _close(self) -> None:
        if not self._at:
            return
        values = zip(*(v for v, _ in self._shown), strict=True)
        every = tuple(s.mask for s in self._outputs)
        masks = zip(*(every if m is None else m for _, m in self._shown), strict=True)
        columns = tuple(column(list(v), s.width) for v, s in zip(values, self._outputs, strict=True))
        cares = tuple(column(list(m), s.width) for m, s in zip(masks, self._outputs, strict=True))
        self._pieces.append((np.array(self._at, np.int64), columns, cares))
        self._at, self._shown = [], []

    def joined(self) -> tuple[Any, tuple[Column, ...], tuple[Column, ...]]:
        self._close()
        count = range(len(self._outputs))
        return (
            np.concatenate([p[0] for p in self._pieces]),
            tuple(np.concatenate([p[1][i] for p in self._pieces]) for i in count),
            tuple(np.concatenate([p[2][i] for p in self._pieces]) for i in count),
        )

    def replay(self, begin: int, period: int, rounds: int) -> None:
        """Repeat the last ``period`` cycles from ``begin`` on ``rounds`` times."""
        offsets, columns, masks = self.joined()
        first = int(np.searchsorted(offsets, begin, side="right")) - 1
        inside = offsets[first:].copy()
        inside[0] = begin
        shifts = (np.arange(1, rounds + 1) * period)[:, None]
        again = (inside[None, :] + shifts).ravel()
        self._pieces = [
            (offsets, columns, masks),
            (
                again,
                tuple(np.tile(c[first:], rounds) for c in columns),
                tuple(np.tile(m[first:], rounds) for m in masks),
            ),
        ]


def event_leap(model: Stepping, state: State, inputs: Values, cycles: int) -> Leap:
    """The leap of ``model``. Raises :class:`TooLong` when it takes more than ``MOST_EVENTS`` steps."""
    rows = _Rows(model)
    seen: dict[State, int] = {}
    at = events = 0
    while at < cycles:
        events += 1
        if events > MOST_EVENTS:
            raise TooLong
        if events > WARM_UP:
            before = seen.get(state)
            if before is not None and (rounds := (cycles - at) // (at - before)) > 0:
                rows.replay(before, at - before, rounds)
                at += rounds * (at - before)
                seen.clear()
                events = -MOST_EVENTS
                continue
            seen[state] = at
        stretch = model.stretch(state, inputs, cycles - at) if cycles - at > 4 else None
        if stretch is not None:
            taken, leap = stretch
            rows.add_leap(at, leap)
            state, at = leap.state, at + taken
            continue
        rows.add(at, model.out(state, inputs), model.cares(state, inputs))
        pause = min(model.quiet(state, inputs), cycles - at)
        if pause > 0:
            state, at = model.skip(state, inputs, pause), at + pause
            continue
        following = model.next(state, inputs)
        if following == state:
            break
        state, at = following, at + 1
    offsets, columns, masks = rows.joined()
    keep = np.ones(len(offsets), dtype=bool)
    keep[1:] = offsets[1:] != offsets[:-1]
    cares: tuple[Column | None, ...] | None = tuple(
        None if np.all(m == s.mask) else m[keep] for m, s in zip(masks, model.outputs, strict=True)
    )
    if cares is not None and all(c is None for c in cares):
        cares = None
    return Leap(state, offsets[keep], tuple(c[keep] for c in columns), cares)
