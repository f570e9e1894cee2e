"""Somebody ends the command: Ctrl-C, or a signal that asks it to stop."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from verify.cli.status import INTERRUPTED

__all__ = ["Ended", "ended_by_signals", "ending_of"]


class Ended(KeyboardInterrupt):
    """A signal asked for the end; whatever cleans up after Ctrl-C cleans up after it too."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.status = 128 + number


@contextmanager
def ended_by_signals() -> Iterator[None]:
    """Within it, SIGTERM and SIGHUP end the command as Ctrl-C does."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    numbers = [signal.SIGTERM, *([signal.SIGHUP] if hasattr(signal, "SIGHUP") else [])]
    before = {number: signal.signal(number, _end) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _end(number: int, _frame: FrameType | None) -> None:
    raise Ended(number)


def ending_of(interrupt: KeyboardInterrupt) -> int:
    """The exit status for an interrupt."""
    return interrupt.status if isinstance(interrupt, Ended) else INTERRUPTED
