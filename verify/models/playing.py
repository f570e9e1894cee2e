"""Play a golden model: the expected trace of any stimulus."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum
from functools import cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from verify.models.golden import (
    CombinationalModel,
    Dressing,
    GoldenModel,
    Leap,
    PlacedModel,
    Resetting,
    Running,
    State,
)
from verify.signals import Column, ExpectedTrace, Reset, Signal, Stimulus, changed_rows, column, full
from verify.signals.columns import INT64_BITS

__all__ = ["ResetKind", "expect"]


class ResetKind(Enum):
    """When a reset takes effect.

    ``ASYNCHRONOUS``: at once, so already in the cycle in which it is asserted, and also for a pulse
    between edges. ``SYNCHRONOUS``: at the edge that ends the cycle; a pulse between edges is not seen.
    ``MIXED``: for some registers at once, for others at the edge, so that nothing is promised in the
    first cycle of a reset, nor after a pulse between edges.
    """

    ASYNCHRONOUS = "asynchronous"
    SYNCHRONOUS = "synchronous"
    MIXED = "mixed"


def expect(
    model: GoldenModel, stimulus: Stimulus, kind: ResetKind, state: State | None = None
) -> tuple[ExpectedTrace, State]:
    """The trace that ``model`` promises for ``stimulus``, and the state after it.

    ``state`` is where the model stands before the first cycle; None: as after reset.
    ``stimulus.signals`` must be ``model.inputs``. Cost: per run and per change, not per cycle.
    """
    if stimulus.signals != model.inputs:
        raise ValueError(f"stimulus over {stimulus.signals}, model wants {model.inputs}")
    if _offers(type(model), "table"):
        return _expect_combinational(cast(CombinationalModel, model), stimulus), ()
    if _offers(type(model), "dressed"):
        dressing = cast(Dressing, model)
        trace, state = expect(dressing.inner, stimulus, kind, state)
        trace = dressing.dressed(trace)
        return _thin(trace.signals, trace.length, trace.cycles, trace.values, trace.cares), state
    state = _placed(model, model.initial() if state is None else state, 0)
    keeps = cast(Resetting, model) if _offers(type(model), "after_reset") else None
    leaps: list[tuple[int, Leap]] = []
    start = 0
    for run in stimulus.runs():
        for reset, cycles in _phases(run.reset, run.cycles):
            asynchronous = kind is ResetKind.ASYNCHRONOUS
            emptied = model.initial() if keeps is None else keeps.after_reset(state)
            if reset is not Reset.RELEASED and asynchronous:
                state = _placed(model, emptied, start)
            if reset is Reset.HELD:
                rows, emptied = _held(model, state, emptied, run.values, cycles, asynchronous)
                leaps += [(start + at, leap) for at, leap in rows]
                state = _placed(model, emptied, start + cycles)
            else:
                leap = model.leap(state, run.values, cycles)
                leaps.append((start, leap))
                state = leap.state
            start += cycles
    return _join(model.outputs, leaps, start), state


def _placed(model: GoldenModel, state: State, cycle: int) -> State:
    """A model that follows an observation has to know which cycle of it is the next."""
    if not _offers(type(model), "placed"):
        return state
    return cast(PlacedModel, model).placed(state, cycle)


@cache
def _offers(kind: type, method: str) -> bool:
    """Whether a class of models has an optional method, asked once: protocols are slow to ask."""
    return hasattr(kind, method)


def _phases(reset: Reset, cycles: int) -> list[tuple[Reset, int]]:
    """A pulse touches only the first cycle of its run."""
    if reset.pulsed and cycles > 1:
        return [(reset, 1), (Reset.RELEASED, cycles - 1)]
    return [(reset, cycles)]


def _held(
    model: GoldenModel,
    state: State,
    emptied: State,
    values: tuple[int, ...],
    cycles: int,
    asynchronous: bool,
) -> tuple[list[tuple[int, Leap]], State]:
    """While reset is held the state stands still; a synchronous one shows the old state for a cycle.

    Also the state after it; that of a faulty model may have gone on meanwhile.
    """
    rows = [(0, _still(model, state, values))]
    if _offers(type(model), "after_held"):
        running = cast(Running, model)
        following = running.after_held(emptied, values)
        if following != emptied:
            for at in range(1, cycles):
                rows.append((at, _still(model, following, values)))
                following = running.after_held(following, values)
            return rows, following
    if not asynchronous and cycles > 1:
        rows.append((1, _still(model, emptied, values)))
    return rows, emptied


def _still(model: GoldenModel, state: State, values: tuple[int, ...]) -> Leap:
    """One row of outputs for a state that does not move."""
    outputs = model.out(state, values)
    masks = model.cares(state, values)
    return Leap(
        state,
        np.zeros(1, np.int64),
        tuple(column([v], s.width) for v, s in zip(outputs, model.outputs, strict=True)),
        None
        if masks is None
        else tuple(column([m], s.width) for m, s in zip(masks, model.outputs, strict=True)),
    )


def _expect_combinational(model: CombinationalModel, stimulus: Stimulus) -> ExpectedTrace:
    columns, cares = model.table(stimulus.values)
    if not stimulus.values:
        columns = tuple(
            full(len(stimulus), int(c[0]), s.width) for c, s in zip(columns, model.outputs, strict=True)
        )
    return _thin(model.outputs, stimulus.length, stimulus.starts, columns, cares)


def _join(signals: tuple[Signal, ...], leaps: Sequence[tuple[int, Leap]], length: int) -> ExpectedTrace:
    cycles = (
        np.concatenate([leap.offsets + start for start, leap in leaps]) if leaps else np.zeros(0, np.int64)
    )
    columns = tuple(
        column(np.concatenate([leap.columns[i] for _, leap in leaps]), s.width)
        if leaps
        else column([], s.width)
        for i, s in enumerate(signals)
    )
    cares = None
    if any(leap.cares is not None for _, leap in leaps):
        cares = tuple(_care_column(leaps, i, s, len(cycles)) for i, s in enumerate(signals))
    return _thin(signals, length, cycles, columns, cares)


def _care_column(leaps: Sequence[tuple[int, Leap]], index: int, signal: Signal, rows: int) -> Column:
    """Every bit, except where a leap says otherwise."""
    found = np.full(rows, signal.mask, dtype=np.int64 if signal.width <= INT64_BITS else object)
    at = 0
    for _, leap in leaps:
        until = at + len(leap.offsets)
        if leap.cares is not None and (care := leap.cares[index]) is not None:
            found[at:until] = care
        at = until
    return column(found, signal.width)


def _thin(
    signals: tuple[Signal, ...],
    length: int,
    cycles: NDArray[np.int64],
    columns: tuple[Column, ...],
    cares: tuple[Column | None, ...] | None,
) -> ExpectedTrace:
    """Drop the rows in which nothing changed."""
    changed = changed_rows(len(cycles), [*columns, *(c for c in cares or () if c is not None)])
    if changed.all():
        return ExpectedTrace(signals, length, cycles, columns, cares)
    keep = np.flatnonzero(changed)
    return ExpectedTrace(
        signals,
        length,
        cycles[keep],
        tuple(c[keep] for c in columns),
        None if cares is None else tuple(None if c is None else c[keep] for c in cares),
    )
