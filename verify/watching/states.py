"""What a bench and its files are at one moment, check by check."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from verify.bench import Bench, Check, load_bench
from verify.bench.overrides import defines_of
from verify.errors import BenchError, EveryedgeError
from verify.simulation.interface import Target
from verify.simulation.sources import data_files, read_sources
from verify.watching.touching import directives, needed_files
from verify.whole_files import read_whole

__all__ = ["BenchState", "look_at"]

_VERILOG = ("*.v", "*.sv", "*.vh", "*.svh")


@dataclass(frozen=True, slots=True)
class BenchState:
    """``digests``: check -> of everything that it depends on; ``error``: what is wrong with the bench.

    ``paths``: the files and folders that it was read from, a change in which may mean another state.
    """

    digests: Mapping[str, str] = field(default_factory=dict)
    paths: frozenset[Path] = frozenset()
    error: EveryedgeError | None = None


def look_at(bench: Path) -> BenchState:
    """Read a bench and all that it names. What cannot be read is part of the state, not an error."""
    folder = bench.absolute().parent
    paths = {bench.absolute(), folder}
    try:
        loaded = load_bench(bench)
        sources = read_sources(_target(loaded))
    except (EveryedgeError, OSError) as error:
        told = error if isinstance(error, EveryedgeError) else BenchError(f"{bench}: {error}")
        return BenchState({}, frozenset(paths | _nearby(folder)), told)
    data = {file: _content(file) for file in data_files(_target(loaded), sources.texts).values()}
    paths |= {path for file in (*sources.texts, *data) for path in (file, file.parent)}
    paths |= {path.absolute() for path in loaded.include} | _roots(loaded)
    shared = {path: text for path, text in {**sources.texts, **data}.items() if path not in sources.files}
    digests = {}
    for check in loaded.checks:
        needed = needed_files(check.module or loaded.design.top, sources.files, sources.texts)
        whole = {path: sources.texts[path] for path in needed} | shared
        texts = {path: whole.get(path, directives(text)) for path, text in sources.texts.items()} | whole
        digests[check.name] = _digest(_tables(loaded, check), texts)
    return BenchState(digests, frozenset(paths))


def _target(bench: Bench) -> Target:
    """As much of a target as tells its files."""
    return Target(
        sources=bench.files,
        top="",
        clock=None,
        inputs=(),
        outputs=(),
        include=bench.include,
        defines=tuple(defines_of(bench).items()),
        directory=bench.directory,
    )


def _tables(bench: Bench, check: Check) -> Any:
    tables = (bench.design, bench.clock, bench.reset, check)
    return [None if table is None else table.model_dump(mode="json") for table in tables]


def _digest(tables: Any, texts: Mapping[Path, bytes]) -> str:
    digest = hashlib.sha256(json.dumps(tables, sort_keys=True, default=str).encode())
    for path in sorted(texts):
        digest.update(f"\0{path}\0{len(texts[path])}\0".encode(errors="surrogateescape") + texts[path])
    return digest.hexdigest()


def _roots(bench: Bench) -> set[Path]:
    """The folders in which patterns look for files."""
    roots = set()
    for pattern in bench.design.sources:
        path = bench.directory.absolute() / pattern
        while any(sign in path.name for sign in "*?[") or not path.is_dir():
            path = path.parent
        roots.add(path)
    return roots


def _nearby(folder: Path) -> set[Path]:
    """What may well belong to a bench that cannot be read."""
    try:
        found = {path for pattern in _VERILOG for path in folder.glob(f"**/{pattern}")}
    except OSError:
        return set()
    return found | {path.parent for path in found}


def _content(path: Path) -> bytes:
    try:
        return read_whole(path)
    except OSError:
        return b""
