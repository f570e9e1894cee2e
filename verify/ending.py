"""Somebody ends a process of ours: Ctrl-C, or a signal that asks it to stop."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from types import FrameType
from typing import Any

__all__ = ["Ended", "Ending", "ended_by_signals"]


_AGAIN_SECONDS = 0.02


class Ended(KeyboardInterrupt):
    """Raised where the signal struck; whatever cleans up after Ctrl-C cleans up after it."""


class Ending:
    """Whether somebody has asked for the end; ``status`` is then the exit status, 128 and the signal.

    ``raised``: the exception that strikes.

    It is remembered here because the exception can get lost: a library in C that was calling back
    may swallow it, or turn it into an error of its own.
    """

    def __init__(self, raised: type[BaseException] = Ended) -> None:
        self._raised = raised
        self.status: int | None = None

    def hear(self, number: int, frame: FrameType | None = None) -> None:
        """The handler of the signals; in the middle of an import it waits until that is over."""
        self.status = 128 + number
        if _importing(frame):
            # A module in C++ that is being loaded ends the whole process over an exception.
            self._hear_again(number)
            return
        raise self._raised

    def _hear_again(self, number: int) -> None:
        signal.signal(signal.SIGALRM, lambda _, later: self.hear(number, later))
        signal.setitimer(signal.ITIMER_REAL, _AGAIN_SECONDS)

    def catch_up(self, usual: Callable[[Any], object], lost: sys.UnraisableHookArgs) -> None:
        """What Python calls with an exception that cannot go on, such as one in a finaliser.

        If it is the end that was asked for, no word is said, and it comes again a moment later.
        """
        if self.status is None or not isinstance(lost.exc_value, self._raised):
            usual(lost)
        elif hasattr(signal, "setitimer"):
            self._hear_again(self.status - 128)

    def insist(self) -> None:
        """Raise again what may have got lost."""
        if self.status is not None:
            raise self._raised


def _importing(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False


@contextmanager
def ended_by_signals() -> Iterator[Ending]:
    """Within it SIGINT, SIGTERM and SIGHUP are heard; a signal that was ignored stays so (``nohup``)."""
    ending = Ending()
    before = {}
    hook = sys.unraisablehook
    if threading.current_thread() is threading.main_thread():
        for name in ("SIGINT", "SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
                before[number] = signal.signal(number, ending.hear)
        sys.unraisablehook = partial(ending.catch_up, hook)
    try:
        yield ending
    finally:
        sys.unraisablehook = hook
        if hasattr(signal, "setitimer"):
            signal.setitimer(signal.ITIMER_REAL, 0)
        for number, handler in before.items():
            signal.signal(number, handler)
