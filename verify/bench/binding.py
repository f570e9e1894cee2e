"""Between a golden model's signals and a design's ports: stimuli one way, traces the other.

Everything here works on whole columns; the cost is per row, never per cycle.
"""

from __future__ import annotations

import re
from typing import Any

import numpy as np
from numpy.typing import NDArray

from verify.bench.resolved import PortRef, ResolvedCheck
from verify.signals import (
    Column,
    ObservedTrace,
    Reset,
    Signal,
    Stimulus,
    changed_rows,
    column,
    full,
    width_mask,
)
from verify.signals.columns import INT64_BITS
from verify.simulation.interface import Drive

__all__ = ["port_text", "reference_of", "to_drive", "to_roles"]

_INDEXED = re.compile(r"(?P<role>.+)\[(?P<index>\d+)\]")


def reference_of(check: ResolvedCheck, signal: Signal) -> PortRef:
    """The port reference behind a model's signal: ``digits[2]`` is the third of the role ``digits``.

    Raises ValueError when the role is not bound or its width differs from the signal's: a model
    that does not belong to this check.
    """
    match = _INDEXED.fullmatch(signal.name)
    role, index = (match["role"], int(match["index"])) if match else (signal.name, 0)
    references = check.roles.get(role, ())
    if index >= len(references):
        raise ValueError(f"{check.name}: the model's signal {signal.name!r} is bound to no port")
    reference = references[index]
    if reference.width != signal.width:
        raise ValueError(
            f"{check.name}: the model's signal {signal.name!r} has {signal.width} bits, "
            f"the ports bound to it have {reference.width}"
        )
    return reference


def port_text(check: ResolvedCheck, signal: Signal) -> str:
    """The port or ports behind a model's signal, as a bench would write them."""
    return _reference_text(check, reference_of(check, signal))


def _reference_text(check: ResolvedCheck, reference: PortRef) -> str:
    texts = []
    for part in reference.slices:
        port = check.module.port(part.port)
        texts.append(part.port if port is None else port.part(part.offset, part.width))
    return texts[0] if len(texts) == 1 else "{" + ", ".join(reversed(texts)) + "}"


def to_drive(check: ResolvedCheck, stimulus: Stimulus) -> Drive:
    """What the input ports must do for ``stimulus``, which runs over the inputs of a model.

    Inputs that no role drives stay at ``check.tied``. A pulsed reset becomes a row of no cycles in
    which the reset is asserted while the other inputs keep what they had, and a row with the reset
    released; in the first half of a clock a second row of no cycles ends it there. Raises
    ValueError when the stimulus resets a design without a reset, or does not belong to this check.
    """
    if check.reset is None and stimulus.reset.any():
        raise ValueError(f"{check.name}: the stimulus uses a reset and the design has none")
    rows = _Rows.of(stimulus)
    ports = {
        signal.name: full(len(rows.cycles), check.tied.get(signal.name, 0), signal.width)
        for signal in check.target.inputs
    }
    widths = {signal.name: signal.width for signal in check.target.inputs}
    for signal, values in zip(stimulus.signals, stimulus.values, strict=True):
        reference = reference_of(check, signal)
        _scatter(ports, widths, reference, values[rows.source])
    if check.reset is not None:
        _scatter(ports, widths, check.reset.ref, rows.reset)
    driven = tuple(ports[s.name] for s in check.target.inputs)
    return Drive(check.target.inputs, rows.cycles, driven, rows.early)


class _Rows:
    """Rows of a drive: how many cycles, which row of the stimulus gives the inputs, reset asserted.

    ``early``: rows in the first half of the clock, None when there are none.
    """

    def __init__(
        self,
        cycles: NDArray[np.int64],
        source: NDArray[np.int64],
        reset: NDArray[np.int64],
        early: NDArray[np.bool_] | None = None,
    ) -> None:
        self.cycles, self.source, self.reset, self.early = cycles, source, reset, early

    @classmethod
    def of(cls, stimulus: Stimulus) -> _Rows:
        row = np.arange(len(stimulus), dtype=np.int64)
        held = (stimulus.reset == Reset.HELD).astype(np.int64)
        if not stimulus.pulsed.any():
            return cls(stimulus.cycles, row, held)
        # The pulse goes ahead of its run, while the inputs still are those of the run before.
        pulsed, both = np.flatnonzero(stimulus.pulsed), np.flatnonzero(stimulus.reset == Reset.PULSED_EARLY)
        at = np.concatenate([pulsed, both])
        asserted = np.repeat([1, 0], [len(pulsed), len(both)])
        early = stimulus.reset[at] == Reset.PULSED_EARLY
        return cls(
            np.insert(stimulus.cycles, at, 0),
            np.insert(row, at, np.maximum(at - 1, 0)),
            np.insert(held, at, asserted),
            np.insert(np.zeros(len(row), dtype=bool), at, early) if len(both) else None,
        )


def _scatter(ports: dict[str, Column], widths: dict[str, int], reference: PortRef, values: Column) -> None:
    """Put ``values`` on the wires of ``reference``."""
    taken = 0
    for part in reference.slices:
        width = widths[part.port]
        wide = max(width, reference.width)
        mask = width_mask(part.width)
        bits = (_as(values, wide) >> taken) & mask
        if reference.inverted:
            bits = bits ^ mask
        moved = _as(bits, wide) << part.offset
        kept = _as(ports[part.port], wide) & ~(mask << part.offset)
        ports[part.port] = column(_as(kept | moved, width), width)
        taken += part.width


def to_roles(
    check: ResolvedCheck, model_outputs: tuple[Signal, ...], observed: ObservedTrace
) -> ObservedTrace:
    """The trace over a model's outputs that is in ``observed``, a trace over output ports.

    Slices are cut out, lists joined and active-low ports inverted; an x stays x and a z stays z.
    Rows in which none of the outputs changes are dropped.
    """
    index = {signal.name: i for i, signal in enumerate(observed.signals)}
    values, unknowns = [], []
    for signal in model_outputs:
        reference = reference_of(check, signal)
        a = _gather(observed, observed.values, index, reference)
        b = _gather(observed, observed.unknown, index, reference) if observed.unknown else None
        if reference.inverted:
            mask = width_mask(reference.width)
            a = a ^ (mask if b is None else mask & ~b)
        values.append(column(a, signal.width))
        unknowns.append(None if b is None or not b.any() else column(b, signal.width))
    keep = changed_rows(len(observed.cycles), [*values, *(u for u in unknowns if u is not None)])
    return ObservedTrace(
        model_outputs,
        observed.length,
        observed.cycles[keep],
        tuple(v[keep] for v in values),
        tuple(None if u is None else u[keep] for u in unknowns)
        if any(u is not None for u in unknowns)
        else None,
    )


def _gather(
    observed: ObservedTrace, columns: tuple[Column | None, ...], index: dict[str, int], reference: PortRef
) -> Any:
    """The bits on the wires of ``reference``; a missing column is all zeros."""
    total: Any = np.zeros(len(observed.cycles), dtype=_dtype(reference.width))
    taken = 0
    for part in reference.slices:
        place = index[part.port]
        source, width = columns[place], observed.signals[place].width
        if source is not None:
            bits = (_as(source, max(width, reference.width)) >> part.offset) & width_mask(part.width)
            total = total | _as(bits << taken, reference.width)
        taken += part.width
    return total


def _dtype(width: int) -> Any:
    return np.int64 if width <= INT64_BITS else object


def _as(values: Any, width: int) -> Any:
    """``values`` in the type that holds ``width`` bits."""
    return values.astype(_dtype(width), copy=False)
