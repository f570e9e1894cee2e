"""Pickled messages over a socket, in both directions at once."""

from __future__ import annotations

import pickle
import socket
import struct
from typing import Any

__all__ = ["Line"]

_LENGTH = struct.Struct("!Q")


class Line:
    """One end. What is sent waits here until there is room, so that two ends never wait for each other."""

    def __init__(self, end: socket.socket) -> None:
        self._socket = end
        self._unsent = bytearray()

    def fileno(self) -> int:
        """For those that wait until there is something to :meth:`receive`."""
        return self._socket.fileno()

    @property
    def has_unsent(self) -> bool:
        """Whether something waits for room: :meth:`flush` it once the socket can be written to."""
        return bool(self._unsent)

    def send(self, *message: Any) -> None:
        """Send what there is room for now. Raises OSError when the other end is gone."""
        data = pickle.dumps(message)
        self._unsent += _LENGTH.pack(len(data)) + data
        self.flush()

    def flush(self, *, whole: bool = False) -> None:
        """Send what waits, as far as there is room; ``whole``: wait for room until all is sent."""
        try:
            while self._unsent:
                del self._unsent[: self._socket.send(self._unsent, 0 if whole else socket.MSG_DONTWAIT)]
        except BlockingIOError:
            return

    def receive(self) -> tuple[Any, ...]:
        """The next message; waits for it. Raises EOFError or OSError when the other end is gone."""
        (length,) = _LENGTH.unpack(self._read(_LENGTH.size))
        message: tuple[Any, ...] = pickle.loads(self._read(length))  # noqa: S301 -- from our own process
        return message

    def _read(self, length: int) -> bytes:
        data = bytearray()
        while len(data) < length:
            piece = self._socket.recv(min(length - len(data), 1 << 20))
            if not piece:
                raise EOFError
            data += piece
        return bytes(data)

    def close(self) -> None:
        """Hang up; safe to call twice."""
        self._socket.close()
