"""What was handed in: a file or a folder each, read whole, so that it can travel."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from verify.errors import BenchError, Place
from verify.report.figures import path_text

__all__ = ["NAMES_FILE", "Content", "Submission", "find_submissions"]

NAMES_FILE = "names.toml"
"""In a submission's folder, or as ``alice.names.toml`` beside ``alice.v``: how it calls its ports."""

SOURCE_SUFFIXES = (".v", ".sv")
KEPT_SUFFIXES = (*SOURCE_SUFFIXES, ".vh", ".svh", ".hex", ".mem", ".mif", ".dat", ".txt", ".bin", ".inc")
MOST_FILES, MOST_BYTES = 2_000, 16 << 20
"""Of one submission; more is no design but an archive of one."""

Content = tuple[tuple[str, bytes], ...]
"""(path with forward slashes, bytes) of each file, in the order of the paths."""


@dataclass(frozen=True, slots=True)
class Submission:
    """``name``: its own among the others. ``problem``: why it cannot be graded, empty when it can."""

    name: str
    content: Content
    problem: str = ""


def find_submissions(folder: Path) -> tuple[Submission, ...]:
    """Every file with Verilog and every folder with some in it, in the order of their names.

    Raises :class:`verify.errors.BenchError` when there is none.
    """
    if not folder.is_dir():
        what = "is a file, expected the folder" if folder.exists() else "is not there, expected a folder"
        raise BenchError(
            f"{path_text(folder)} {what} with a file or a folder for each design", place=Place(folder)
        )
    try:
        entries = sorted(entry for entry in folder.iterdir() if not entry.name.startswith("."))
    except OSError as error:
        raise BenchError(f"cannot read {path_text(folder)}: {error.strerror}", place=Place(folder)) from None
    found = [entry for entry in entries if entry.is_dir() or entry.suffix.lower() in SOURCE_SUFFIXES]
    stems = Counter(_stem(entry) for entry in found)
    submissions = []
    for entry in found:
        name = _stem(entry) if stems[_stem(entry)] == 1 else entry.name
        if entry.is_symlink():
            submission: Submission | None = Submission(name, (), "it is a link, and links are not followed")
        else:
            submission = _of_folder(name, entry) if entry.is_dir() else _of_file(name, entry)
        if submission is not None:
            submissions.append(submission)
    if not submissions:
        raise BenchError(
            f"there is no Verilog in {path_text(folder)}",
            place=Place(folder),
            advice="it needs a file (.v, .sv) or a folder for each design",
        )
    return tuple(submissions)


def _stem(entry: Path) -> str:
    return entry.name if entry.is_dir() else entry.stem


def _of_file(name: str, file: Path) -> Submission:
    if not file.is_file():
        return Submission(name, (), "it is no file that can be read to its end")
    parts = [(file.name, file)]
    names = file.with_name(f"{file.stem}.{NAMES_FILE}")
    if names.is_file() and not names.is_symlink():
        parts.append((NAMES_FILE, names))
    return _read(name, parts)


def _of_folder(name: str, folder: Path) -> Submission | None:
    """None for a folder that has nothing to do with designs."""
    parts = list(_below(folder))
    return _read(name, parts) if any(_is_source(relative) for relative, _ in parts) else None


def _below(folder: Path) -> Iterator[tuple[str, Path]]:
    """What a design may consist of. Links are not followed: they lead out of the submission."""
    for parent, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith((".", "__")))
        for name in sorted(files):
            path = Path(parent) / name
            relative = path.relative_to(folder).as_posix()
            kept = path.suffix.lower() in KEPT_SUFFIXES or relative == NAMES_FILE
            if kept and not name.startswith(".") and not path.is_symlink() and path.is_file():
                yield relative, path


def _is_source(relative: str) -> bool:
    return PurePosixPath(relative).suffix.lower() in SOURCE_SUFFIXES


def _read(name: str, parts: list[tuple[str, Path]]) -> Submission:
    if len(parts) > MOST_FILES:
        return Submission(name, (), f"it has {len(parts):,} files, more than {MOST_FILES:,}")
    content, total = [], 0
    for relative, path in parts:
        try:
            total += path.stat().st_size
            if total > MOST_BYTES:
                return Submission(name, (), f"it has more than {MOST_BYTES >> 20} MB")
            content.append((relative, path.read_bytes()))
        except OSError as error:
            return Submission(name, (), f"{relative} cannot be read: {error.strerror}")
    return Submission(name, tuple(sorted(content)))
