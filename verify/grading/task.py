"""What every submission is held against, read whole, so that it can travel."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Any

from verify.bench.load import bench_of, load_bench
from verify.bench.places import Places
from verify.checks.settings import Settings
from verify.errors import BenchError, Place
from verify.grading.submissions import KEPT_SUFFIXES, Content, Submission
from verify.report.figures import path_text
from verify.whole_files import read_whole

__all__ = ["Task", "read_task"]


@dataclass(frozen=True, slots=True)
class Task:
    """A bench and the files that are given with it.

    ``bench``: the file's path, for people. ``names`` and ``weights`` of its checks, in order.
    ``provided``: files that every design is compiled with, before its own of the same name.
    ``include``: folders for included files, with their content.
    """

    bench: Path
    text: str
    names: tuple[str, ...]
    weights: tuple[float, ...]
    provided: Content = ()
    include: tuple[Content, ...] = ()
    settings: Settings = Settings()  # noqa: RUF009 -- frozen, and without a state

    @property
    def tables(self) -> dict[str, Any]:
        """Of the bench file, with every check named."""
        tables = tomllib.loads(self.text)
        checks = [{**check, "name": name} for check, name in zip(tables["check"], self.names, strict=True)]
        return {**tables, "check": checks}

    @property
    def wanted(self) -> tuple[str, ...]:
        """The checks that are graded."""
        return tuple(name for name in self.names if not self.settings.only or name in self.settings.only)

    def key(self, submission: Submission) -> str:
        """A digest of everything that the grade of ``submission`` depends on."""
        digest = hashlib.sha256()
        for part in (version("everyedge"), self.text, json.dumps(asdict(self.settings)), submission.name):
            digest.update(part.encode(errors="surrogateescape") + b"\0")
        for content in (self.provided, *self.include, submission.content):
            digest.update(f"{len(content)} files\0".encode())
            for path, data in content:
                digest.update(f"{path}\0{len(data)}\0".encode(errors="surrogateescape") + data)
        return digest.hexdigest()


def read_task(bench: Path, provided: Iterable[Path], settings: Settings) -> Task:
    """Read the bench and the files that go with it; its own ``sources`` need not be there.

    Raises :class:`verify.errors.BenchError`.
    """
    try:
        load_bench(bench)
    except BenchError as error:
        if not error.message.startswith("design.sources: no file"):
            raise
    text = read_whole(bench).decode("utf-8-sig")
    tables = tomllib.loads(text)
    # With sources that are there whatever the submissions hold: for the names and the weights.
    found = bench_of(
        {**tables, "design": {**tables["design"], "sources": [bench.name]}},
        bench.parent,
        path=bench,
        places=Places.read(bench, text),
    )
    files = [_provided(path) for path in provided]
    known = {check.name for check in found.checks}
    if unknown := [name for name in settings.only if name not in known]:
        raise BenchError(
            f"no check is called {unknown[0]!r}",
            place=Place(bench),
            advice="the checks are: " + ", ".join(check.name for check in found.checks),
        )
    return Task(
        bench,
        text,
        tuple(check.name for check in found.checks),
        tuple(float(check.weight) for check in found.checks),
        tuple(sorted(files)),
        tuple(_folder(path) for path in found.include),
        settings,
    )


def _provided(path: Path) -> tuple[str, bytes]:
    try:
        return path.name, read_whole(path)
    except OSError as error:
        raise BenchError(
            f"{path_text(path)}, which every design is to be compiled with, cannot be read: {error.strerror}",
            place=Place(path),
        ) from None


def _folder(folder: Path) -> Content:
    files = sorted(
        path for path in folder.rglob("*") if path.suffix.lower() in KEPT_SUFFIXES and path.is_file()
    )
    return tuple((path.relative_to(folder).as_posix(), path.read_bytes()) for path in files)
