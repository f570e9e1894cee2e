"""Bytes to and from the player, both ways at once and without a thread."""

from __future__ import annotations

import os
import select
from collections.abc import Iterator
from typing import Literal

from verify.simulation.decoding import TraceDecoder
from verify.simulation.process import Child
from verify.simulation.watch import Watch

__all__ = ["EndedError", "OverdueError", "exchange"]

READ_BYTES = 1 << 20
TICK_MS = 500


class EndedError(Exception):
    """The child closed its pipes; ``rest`` holds the records received since the last piece."""

    def __init__(self, rest: bytes) -> None:
        super().__init__("end of file")
        self.rest = rest


class OverdueError(Exception):
    """The child does not answer (``hang``), takes too long (``limit``), or is done without an end record."""

    def __init__(self, fault: Literal["bad_trace", "hang", "limit"]) -> None:
        super().__init__(fault)
        self.fault = fault


class _Feeder:
    """Writes the stimulus as fast as the player takes it."""

    def __init__(self, pipe: int, pieces: Iterator[bytes]) -> None:
        self._pipe = pipe
        self._pieces = pieces
        self._pending = memoryview(b"")
        self.waiting = True
        """Whether there is more to write."""

    def feed(self) -> int:
        """Write what the pipe takes; the number of bytes."""
        written = 0
        while self.waiting:
            if not self._pending:
                piece = next(self._pieces, None)
                if piece is None:
                    self.waiting = False
                    break
                self._pending = memoryview(piece)
            try:
                count = os.write(self._pipe, self._pending)
            except BlockingIOError:
                break
            except BrokenPipeError:  # the trace pipe will tell why
                self.waiting = False
                break
            self._pending = self._pending[count:]
            written += count
        return written


def exchange(
    child: Child, pieces: Iterator[bytes], decoder: TraceDecoder, watch: Watch, piece_bytes: int
) -> Iterator[bytes]:
    """Play one burst: whole records, in pieces of at least ``piece_bytes``, up to the end record.

    Raises EndedError, OverdueError.
    """
    size = decoder.record_bytes
    feeder = _Feeder(child.stimulus, pieces)
    collected = bytearray()
    try:
        child.begin()
    except OSError:
        raise EndedError(b"") from None
    feeder.feed()
    while True:
        if not _ready(child, feeder, watch):
            continue
        data = os.read(child.trace, min(READ_BYTES, max(size, piece_bytes - len(collected))))
        if not data:
            raise EndedError(bytes(collected[: len(collected) // size * size]))
        watch.progress()
        collected += data
        whole = len(collected) // size * size
        if whole == len(collected) and decoder.is_end(collected[-size:]):
            yield bytes(collected)
            return
        if watch.overdue():
            raise OverdueError("limit")
        if whole >= piece_bytes:
            yield bytes(collected[:whole])
            del collected[:whole]


def _ready(child: Child, feeder: _Feeder, watch: Watch) -> bool:
    """Wait a while; feed what can be fed; whether there is something to read."""
    poll = select.poll()
    poll.register(child.trace, select.POLLIN)
    if feeder.waiting:
        poll.register(child.stimulus, select.POLLOUT)
    events = dict(poll.poll(TICK_MS))
    if child.stimulus in events and feeder.feed():
        watch.progress()
    if not events:
        fault = watch.quiet()
        if fault is not None:
            raise OverdueError(fault)
    return child.trace in events
