"""From a drive to the bytes that the player reads."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from verify.signals import Column
from verify.simulation.interface import Drive
from verify.simulation.layout import WORD_BITS, Layout
from verify.simulation.records import BLOCK_ROWS, COUNT_BITS, EARLY

__all__ = ["check_drive", "encode_drive"]

CHUNK_ROWS = 128 * BLOCK_ROWS
MOST_LENGTH = 1 << 48
MOST_CLOCKS = (1 << COUNT_BITS) - 1


def encode_drive(drive: Drive, layout: Layout, nonce: int) -> Iterator[bytes]:
    """The burst in pieces of bounded size; the last one ends with the nonce (below 2**32).

    The drive is one that :func:`check_drive` accepts.
    """
    pending = b""
    for first in range(0, len(drive.cycles), CHUNK_ROWS):
        part = slice(first, first + CHUNK_ROWS)
        rows = _rows(drive.cycles[part], [c[part] for c in drive.values], layout)
        if drive.early is not None:
            rows[drive.early[part], 0] = EARLY
        for piece in _blocks(_split(rows, drive.cycles[part])):
            if pending:
                yield pending
            pending = piece
    end = np.zeros(1 + layout.words, ">u4")
    end[-1] = nonce
    yield pending + end.tobytes()


def check_drive(drive: Drive, layout: Layout) -> None:
    """Raise ValueError for other signals, wrong clock counts, values too many, too few or too large."""
    if drive.signals != layout.signals:
        raise ValueError(f"drive over {drive.signals}, the design's inputs are {layout.signals}")
    rows = len(drive.cycles)
    if rows and int(drive.cycles.min()) < 0:
        raise ValueError("a row cannot last less than 0 clocks")
    if drive.early is not None and (len(drive.early) != rows or drive.cycles[drive.early].any()):
        raise ValueError("only a row of no clocks can be early, and every row is early or not")
    if rows and float(drive.cycles.sum(dtype=np.float64)) > MOST_LENGTH:
        raise ValueError(f"a burst of more than {MOST_LENGTH} clocks would take years")
    if [len(c) for c in drive.values] != [rows] * len(layout.signals):
        raise ValueError(f"every input needs one value for each of the {rows} rows")
    for signal, value in zip(layout.signals, drive.values, strict=True):
        if rows and not 0 <= int(value.min()) <= int(value.max()) <= signal.mask:
            raise ValueError(f"a value of {signal.name} does not fit its {signal.width} bit(s)")


def _rows(cycles: NDArray[np.int64], values: list[Column], layout: Layout) -> NDArray[np.uint32]:
    rows = np.zeros((len(cycles), 1 + layout.words), np.uint32)
    rows[:, 0] = np.minimum(cycles, MOST_CLOCKS)
    for signal, offset, value in zip(layout.signals, layout.offsets, values, strict=True):
        first, shift = divmod(offset, WORD_BITS)
        for at, word in enumerate(_words(value, signal.width), first):
            moved = word << np.uint64(shift)
            rows[:, layout.words - at] |= moved.astype(np.uint32)
            if shift and at + 1 < layout.words:
                rows[:, layout.words - at - 1] |= (moved >> np.uint64(WORD_BITS)).astype(np.uint32)
    return rows


def _words(value: Column, width: int) -> list[NDArray[np.uint64]]:
    """Least significant word first, one word in each 64-bit element."""
    count = -(-width // WORD_BITS)
    if value.dtype == object:
        data = b"".join([v.to_bytes(4 * count, "little") for v in value.tolist()])
        table = np.frombuffer(data, "<u4").reshape(-1, count)
        return [table[:, i].astype(np.uint64) for i in range(count)]
    whole = value.astype(np.uint64)
    return [(whole >> np.uint64(WORD_BITS * i)) & np.uint64(0xFFFFFFFF) for i in range(count)]


def _split(rows: NDArray[np.uint32], cycles: NDArray[np.int64]) -> NDArray[np.uint32]:
    """Repeat each row whose clock count does not fit the record."""
    if len(rows) == 0 or int(cycles.max()) <= MOST_CLOCKS:
        return rows
    repeats = np.maximum(1, -(-cycles // MOST_CLOCKS))
    rows = np.repeat(rows, repeats, axis=0)
    last = np.cumsum(repeats) - 1
    rows[last, 0] = cycles - (repeats - 1) * MOST_CLOCKS
    return rows


def _blocks(rows: NDArray[np.uint32]) -> Iterator[bytes]:
    header = np.zeros((1, rows.shape[1]), ">u4")
    for first in range(0, len(rows), CHUNK_ROWS):
        parts: list[NDArray[np.uint32]] = []
        for start in range(first, min(first + CHUNK_ROWS, len(rows)), BLOCK_ROWS):
            block = rows[start : start + BLOCK_ROWS]
            header[0, 0] = len(block)
            parts += [header.copy(), block]
        yield np.concatenate(parts).astype(">u4").tobytes()
