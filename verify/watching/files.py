"""Whether files and folders are still what they were, at the cost of asking the file system."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

__all__ = ["Signature", "signature_of"]

Signature = Mapping[Path, tuple[int, int, int] | None]
"""Path -> (time of the last change in ns, size, inode); None: there is nothing."""


def signature_of(paths: Iterable[Path]) -> Signature:
    """What the file system says of each; a folder changes when something in it comes, goes or is renamed."""
    return {path: _stat(path) for path in paths}


def _stat(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
