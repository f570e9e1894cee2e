"""The folder that a simulation may write to, with the data files that the design reads."""

from __future__ import annotations

import contextlib
import fcntl
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

__all__ = ["Scratch"]

LOCK = ".lock"
MOST_BYTES = 1 << 28
"""Larger data files are linked to instead of copied."""


class Scratch:
    """A temporary folder; ``directory`` inside it is the simulator's working directory.

    The folder goes with :meth:`close`; one left behind by a process that was killed goes when the
    next scratch folder is made.
    """

    def __init__(self, data: Mapping[str, Path]) -> None:
        root = _root()
        _sweep(root)
        self.path = Path(tempfile.mkdtemp(prefix="run-", dir=root))
        self._lock = os.open(self.path / LOCK, os.O_CREAT | os.O_RDWR, 0o600)
        fcntl.flock(self._lock, fcntl.LOCK_EX)
        self.log = self.path / "log"
        # Deep enough that names with ".." stay inside.
        self.directory = self.path.joinpath("work", *["d"] * max([n.count("..") for n in data] or [0]))
        self.directory.mkdir(parents=True)
        for name, file in data.items():
            place = Path(os.path.normpath(self.directory / name))
            place.parent.mkdir(parents=True, exist_ok=True)
            if place.exists():
                continue
            if file.stat().st_size > MOST_BYTES:
                place.symlink_to(file)
            else:
                shutil.copyfile(file, place)

    def close(self) -> None:
        """Remove the folder; safe to call twice."""
        if self._lock >= 0:
            shutil.rmtree(self.path, ignore_errors=True)
            os.close(self._lock)
            self._lock = -1


def _root() -> Path:
    root = Path(tempfile.gettempdir()).resolve() / f"everyedge-{os.getuid()}"
    with contextlib.suppress(OSError):
        root.mkdir(mode=0o700, exist_ok=True)
        if root.stat().st_uid == os.getuid() and os.access(root, os.W_OK):
            return root
    return Path(tempfile.mkdtemp(prefix="everyedge-"))


def _sweep(root: Path) -> None:
    for folder in root.iterdir():
        with contextlib.suppress(OSError):
            descriptor = os.open(folder / LOCK, os.O_RDWR)
            try:
                fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(folder, ignore_errors=True)
            finally:
                os.close(descriptor)
