"""The files and folders that a bench names."""

from __future__ import annotations

import glob
from collections.abc import Sequence
from pathlib import Path

from verify.bench.places import Places
from verify.errors import BenchError

__all__ = ["find_folders", "find_sources"]


def find_sources(patterns: Sequence[str], directory: Path, places: Places) -> tuple[Path, ...]:
    """The files that the patterns name, each once: in the order of the list, sorted within a pattern.

    Raises :class:`verify.errors.BenchError` for a pattern that no file matches.
    """
    found: dict[Path, None] = {}
    for index, pattern in enumerate(patterns):
        place = places.of("design", "sources", index)
        path = directory / pattern
        if path.is_dir():
            raise BenchError(
                f'design.sources: "{pattern}" is a folder, expected a file or a pattern',
                place=place,
                advice=f'write "{pattern.rstrip("/")}/*.v"',
            )
        names = [path] if path.is_file() else _matches(path)
        if not names:
            raise BenchError(
                f'design.sources: no file matches "{pattern}" in {directory.absolute()}',
                place=place,
                advice="paths are relative to the folder of the bench file",
            )
        found.update(dict.fromkeys(names))
    return tuple(found)


def _matches(path: Path) -> list[Path]:
    try:
        names = glob.glob(str(path), recursive=True)  # noqa: PTH207 -- absolute patterns, too
    except (OSError, ValueError):
        return []
    return sorted(Path(name) for name in names if Path(name).is_file())


def find_folders(names: Sequence[str], directory: Path, places: Places) -> tuple[Path, ...]:
    """The include folders. Raises :class:`verify.errors.BenchError` for one that is not there."""
    for index, name in enumerate(names):
        if not (directory / name).is_dir():
            raise BenchError(
                f'design.include: found "{name}", expected a folder in {directory.absolute()}',
                place=places.of("design", "include", index),
                advice="paths are relative to the folder of the bench file",
            )
    return tuple(directory / name for name in names)
