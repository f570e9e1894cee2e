"""From the bytes that the player wrote to change traces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from verify.signals import Column, column
from verify.signals.columns import INT64_BITS
from verify.simulation.layout import WORD_BITS, Layout
from verify.simulation.records import COUNT_BITS, TAG_BEAT, TAG_END, TAG_SAMPLE

__all__ = ["BadTraceError", "Records", "TraceDecoder", "columns"]

COUNT_MASK = (1 << COUNT_BITS) - 1


class BadTraceError(ValueError):
    """The bytes are not a trace."""


@dataclass(frozen=True, slots=True, eq=False)
class Records:
    """Samples in time order, at most one per cycle: ``cycles`` int64[m], output words ``a``, ``b``.

    ``a`` and ``b`` are uint32[m, words], least significant word first; ``b`` None: two-state.
    """

    cycles: NDArray[np.int64]
    a: NDArray[np.uint32]
    b: NDArray[np.uint32] | None


class TraceDecoder:
    """Decodes one burst piece by piece; ``reached`` is the last cycle number seen."""

    def __init__(self, layout: Layout, *, four_state: bool) -> None:
        self._layout = layout
        self._four_state = four_state
        self.record_bytes = 4 * (layout.words + 1) * (2 if four_state else 1)
        self.reached = 0
        self.end: tuple[int, int] | None = None
        """(length modulo 2**30, nonce) once the end record has been seen."""

    def is_end(self, record: bytes | bytearray) -> bool:
        """Whether the record is the one that ends a burst."""
        low = self.record_bytes - (5 if self._four_state else 1)
        return record[low] >> 6 == TAG_END

    def decode(self, data: bytes | bytearray | memoryview) -> Records:
        """Decode whole records. Raises BadTraceError."""
        words = self._layout.words
        table = np.frombuffer(data, "<u4").reshape(-1, self.record_bytes // 4)
        if self._four_state:
            stamps, a, b = table[:, -2], table[:, 0 : 2 * words : 2], table[:, 1 : 2 * words : 2]
            if table[:, -1].any():
                raise BadTraceError("a cycle number is unknown")
        else:
            stamps, a, b = table[:, -1], table[:, :words], None
        cycles = self._unwrap(stamps)
        tags = stamps >> np.uint32(COUNT_BITS)
        if tags[-1] == TAG_END:
            self.end = self.reached & COUNT_MASK, int(a[-1, 0])
        keep = _last_samples(tags, cycles)
        if keep is None:
            return Records(cycles, a, b)
        return Records(cycles[keep], a[keep], None if b is None else b[keep])

    def _unwrap(self, stamps: NDArray[np.uint32]) -> NDArray[np.int64]:
        """Cycle numbers in full: two records in a row are never 2**30 clocks apart."""
        counts = (stamps & np.uint32(COUNT_MASK)).astype(np.int64)
        steps = np.empty_like(counts)
        steps[0] = counts[0] - self.reached
        np.subtract(counts[1:], counts[:-1], out=steps[1:])
        steps &= COUNT_MASK
        cycles: NDArray[np.int64] = np.cumsum(steps)
        cycles += self.reached
        self.reached = int(cycles[-1])
        return cycles


def _last_samples(tags: NDArray[np.uint32], cycles: NDArray[np.int64]) -> NDArray[np.bool_] | slice | None:
    """Which records are the last sample of their cycle; None: all of them. Raises BadTraceError."""
    repeated = cycles[1:] == cycles[:-1]
    special = np.flatnonzero(tags)
    if len(special) == 0 and not repeated.any():
        return None
    kinds = tags[special]
    if not ((kinds == TAG_BEAT) | (kinds == TAG_END)).all():
        raise BadTraceError("a record of an unknown kind")
    if (tags[:-1] == TAG_END).any():
        raise BadTraceError("there is more after the end of the burst")
    if len(special) == 1 and kinds[0] == TAG_END and not repeated[:-1].any():
        return slice(0, -1)
    keep: NDArray[np.bool_] = tags == TAG_SAMPLE
    keep[:-1] &= ~(keep[1:] & repeated)
    return keep


def columns(layout: Layout, words: NDArray[np.uint32]) -> tuple[Column, ...]:
    """One column per signal out of the rows of words."""
    return tuple(
        column(_wide(words, at, s.width) if s.width > INT64_BITS else _narrow(words, at, s.width), s.width)
        for s, at in zip(layout.signals, layout.offsets, strict=True)
    )


def _narrow(words: NDArray[np.uint32], offset: int, width: int) -> NDArray[np.int64]:
    first, shift = divmod(offset, WORD_BITS)
    value = words[:, first].astype(np.uint64) >> np.uint64(shift)
    have = WORD_BITS - shift
    while have < width:
        first += 1
        value |= words[:, first].astype(np.uint64) << np.uint64(have)
        have += WORD_BITS
    return (value & np.uint64((1 << width) - 1)).astype(np.int64)


def _wide(words: NDArray[np.uint32], offset: int, width: int) -> NDArray[np.object_]:
    data = np.ascontiguousarray(words, "<u4").tobytes()
    size = 4 * words.shape[1]
    mask = (1 << width) - 1
    result = np.empty(len(words), object)
    for row in range(len(words)):
        result[row] = (int.from_bytes(data[row * size : (row + 1) * size], "little") >> offset) & mask
    return result
