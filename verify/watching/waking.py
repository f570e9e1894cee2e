"""Word from the operating system that something in some folders has changed."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType

import watchfiles

__all__ = ["Waking"]

SETTLE_MS = 40
LONGEST_SETTLE_MS = 300


class Waking:
    """Something to wait for; a context manager.

    It is an early word and no more: on some file systems it never comes, so whoever waits looks
    for himself every now and then, too.
    """

    def __init__(self) -> None:
        self._read, self._write = os.pipe()
        os.set_blocking(self._read, False)
        os.set_blocking(self._write, False)
        self._folders: frozenset[Path] = frozenset()
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def fileno(self) -> int:
        """To wait for: it can be read when something has changed."""
        return self._read

    def drain(self) -> bool:
        """Whether there was word; it is taken in by asking."""
        with contextlib.suppress(BlockingIOError):
            return bool(os.read(self._read, 1 << 16))
        return False

    def watch(self, folders: Iterable[Path]) -> None:
        """From now on these folders, without what is below them; those that are not there are left out."""
        wanted = frozenset(folder for folder in folders if folder.is_dir())
        alive = self._thread is not None and self._thread.is_alive()
        if wanted == self._folders and alive:
            return
        self._end()
        self._folders, self._stop = wanted, threading.Event()
        if wanted:
            self._thread = threading.Thread(target=self._follow, args=(wanted, self._stop), daemon=True)
            self._thread.start()

    def _follow(self, folders: frozenset[Path], stop: threading.Event) -> None:
        # A folder that goes, or a system with too few watches, ends it: then there is no early word.
        with contextlib.suppress(OSError, RuntimeError):
            for _ in watchfiles.watch(
                *folders,
                watch_filter=None,
                debounce=LONGEST_SETTLE_MS,
                step=SETTLE_MS,
                stop_event=stop,
                rust_timeout=200,
                recursive=False,
                raise_interrupt=False,
                ignore_permission_denied=True,
            ):
                with contextlib.suppress(BlockingIOError, OSError):
                    os.write(self._write, b"!")

    def _end(self) -> None:
        self._stop.set()
        if self._thread is not None:
            self._thread.join(timeout=2)
            self._thread = None

    def __enter__(self) -> Waking:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._end()
        os.close(self._read)
        os.close(self._write)
