"""Builds kept by content, shared by parallel processes."""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import platformdirs

__all__ = ["BuildCache", "cache_directory"]

SEAL = "everyedge.json"
MOST_ENTRIES = 400


def cache_directory() -> Path:
    """``$EVERYEDGE_CACHE``, else the user's cache folder; a temporary one where neither can be written."""
    wanted = os.environ.get("EVERYEDGE_CACHE")
    path = Path(wanted) if wanted else Path(platformdirs.user_cache_dir("everyedge", appauthor=False))
    try:
        path.mkdir(parents=True, exist_ok=True)
        writable = os.access(path, os.W_OK)
    except OSError:
        writable = False
    if not writable:
        path = Path(tempfile.gettempdir()) / f"everyedge-cache-{os.getuid()}"
        path.mkdir(mode=0o700, exist_ok=True)
        if path.stat().st_uid != os.getuid():
            return Path(tempfile.mkdtemp(prefix="everyedge-cache-"))
    return path.resolve()


class BuildCache:
    """Folders of build results, one per key.

    An entry appears in one step, sealed with the digests of its files; one that is not whole is
    built again. Only one process builds a key at a time.
    """

    def __init__(self, directory: Path) -> None:
        self._directory = directory

    def get(self, key: str, build: Callable[[Path], None]) -> Path:
        """The entry for ``key``; ``build`` fills an empty folder when there is none."""
        entry = self._directory / key
        if _whole(entry):
            return entry
        with self._lock(key):
            if _whole(entry):
                return entry
            shutil.rmtree(entry, ignore_errors=True)
            fresh = Path(tempfile.mkdtemp(prefix=f".{key}.", dir=self._directory))
            try:
                build(fresh)
                _seal(fresh, key)
                fresh.rename(entry)
            finally:
                shutil.rmtree(fresh, ignore_errors=True)
            self._prune()
        return entry

    @contextlib.contextmanager
    def _lock(self, key: str) -> Iterator[None]:
        # The lock goes with the process that holds it; its file stays, so that there is only one.
        # A design waits for the runtime while it is built, so that those two must never share one.
        name = f".lock-{key.partition('_')[0]}-{key[-2:]}"
        descriptor = os.open(self._directory / name, os.O_CREAT | os.O_RDWR, 0o600)
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX)
            yield
        finally:
            os.close(descriptor)

    def _prune(self) -> None:
        entries = [p for p in self._directory.iterdir() if not p.name.startswith(".")]
        if len(entries) > MOST_ENTRIES:
            for entry in sorted(entries, key=_last_used)[: len(entries) // 4]:
                shutil.rmtree(entry, ignore_errors=True)


def _last_used(entry: Path) -> float:
    try:
        return (entry / SEAL).stat().st_mtime
    except OSError:
        return 0.0


def _digests(entry: Path, key: str) -> dict[str, str]:
    """Of every file, and the key: a build in the place of another is not whole either."""
    return {SEAL: key} | {
        str(path.relative_to(entry)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(entry.rglob("*"))
        if path.is_file() and path.name != SEAL
    }


def _seal(entry: Path, key: str) -> None:
    (entry / SEAL).write_text(json.dumps(_digests(entry, key)))


def _whole(entry: Path) -> bool:
    seal = entry / SEAL
    try:
        whole = bool(json.loads(seal.read_text()) == _digests(entry, entry.name))
        os.utime(seal)
    except (OSError, ValueError):
        return False
    return whole
