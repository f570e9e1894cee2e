"""Short ways to write a target, a drive, and to read a trace cycle by cycle."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from verify.signals import ObservedTrace, Signal, column
from verify.simulation import Drive, Target

EARLY = -1


def target(
    folder: Path,
    text: str,
    inputs: Sequence[tuple[str, int]],
    outputs: Sequence[tuple[str, int]],
    **options: Any,
) -> Target:
    """A target for the module ``dut`` with the clock ``clk``, written to ``folder``."""
    source = folder / options.pop("name", "dut.v")
    source.write_text(text)
    signals = [tuple(Signal(*port) for port in ports) for ports in (inputs, outputs)]
    options.setdefault("clock", "clk")
    options.setdefault("directory", folder)
    return Target((source,), "dut", inputs=signals[0], outputs=signals[1], **options)


def drive(target: Target, rows: Iterable[tuple[int, ...]]) -> Drive:
    """Rows of (clocks, value of each input ...); ``EARLY`` clocks: none, in the first half of the cycle."""
    rows = list(rows)
    clocks = np.array([row[0] for row in rows], np.int64)
    values = [column([row[1 + i] for row in rows], s.width) for i, s in enumerate(target.inputs)]
    early = clocks == EARLY
    return Drive(target.inputs, np.where(early, 0, clocks), tuple(values), early if early.any() else None)


def samples(trace: ObservedTrace) -> list[tuple[str, ...]]:
    """Per cycle the outputs as strings of 0, 1, x and z, most significant bit first."""
    rows = np.searchsorted(trace.cycles, np.arange(trace.length), "right") - 1
    assert trace.length == 0 or trace.cycles[0] == 0
    assert (np.diff(trace.cycles) > 0).all()
    texts = []
    for i, signal in enumerate(trace.signals):
        a = trace.values[i].tolist()
        unknown = trace.unknown[i] if trace.unknown is not None else None
        b = unknown.tolist() if unknown is not None else [0] * len(a)
        texts.append([four(x, y, signal.width) for x, y in zip(a, b, strict=True)])
    return [tuple(text[row] for text in texts) for row in rows]


def four(a: int, b: int, width: int) -> str:
    """The encoding of IEEE 1364-2005 clause 27 in letters."""
    return "".join("01zx"[(a >> i & 1) + 2 * (b >> i & 1)] for i in reversed(range(width)))


def binary(value: int | None, width: int) -> str:
    """A value as it reads in :func:`samples`; None is all x."""
    return "x" * width if value is None else format(value, f"0{width}b")
