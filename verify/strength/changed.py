"""A copy of a design in which one file is changed, and the bench that checks the copy."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from verify.bench import Bench
from verify.design.sources import Dialect, read_sources
from verify.simulation.interface import Target
from verify.simulation.sources import data_files
from verify.simulation.sources import read_sources as read_all
from verify.strength.mutation import Mutation

__all__ = ["changed_design", "file_text"]


@contextmanager
def changed_design(bench: Bench, mutation: Mutation) -> Iterator[Bench]:
    """The bench over a copy of all files, with the mutation made; the copy goes when the block ends."""
    target = Target(bench.files, "", None, (), (), include=bench.include, directory=bench.directory)
    texts = read_all(target).texts
    files = [*texts, *data_files(target, texts).values()]
    base = Path(os.path.commonpath([bench.directory.absolute(), *(file.absolute() for file in files)]))
    if base.is_file():
        base = base.parent
    with TemporaryDirectory(prefix="everyedge-strength-") as folder:
        root = Path(folder)

        def moved(path: Path) -> Path:
            return root / path.absolute().relative_to(base)

        for file in files:
            moved(file).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(file, moved(file))
        for needed in (bench.directory, *bench.include):
            with_base = needed.absolute()
            if with_base == base or base in with_base.parents:
                moved(needed).mkdir(parents=True, exist_ok=True)
        text = mutation.of(file_text(mutation.file))
        moved(mutation.file).write_text(text, encoding="utf-8")
        yield replace(
            bench,
            directory=moved(bench.directory),
            files=tuple(map(moved, bench.files)),
            include=tuple(moved(f) if base in f.absolute().parents else f for f in bench.include),
        )


def file_text(file: Path) -> str:
    """The text that mutations count in."""
    return read_sources([file], Dialect())[0].text
