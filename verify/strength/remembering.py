"""What became of mutants before, by the content that it depends on."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from importlib.metadata import version
from pathlib import Path

from verify.bench import Bench
from verify.simulation.building import digest
from verify.simulation.cache import cache_directory
from verify.simulation.interface import Target
from verify.simulation.sources import data_files, read_sources
from verify.strength.mutation import Mutation, Trial

__all__ = ["Memory"]

_MOST_BYTES = 64 << 20


class Memory:
    """One file per bench and design in the cache; a file that is not whole is no memory."""

    def __init__(self, bench: Bench, bench_text: bytes, words: object) -> None:
        target = Target(bench.files, "", None, (), (), include=bench.include, directory=bench.directory)
        texts = read_sources(target).texts
        data = sorted((name, _hash(file)) for name, file in data_files(target, texts).items())
        contents = sorted((str(path), hashlib.sha256(text).hexdigest()) for path, text in texts.items())
        name = digest(version("everyedge"), _engine(), bench_text, contents, data, words)
        self._file = cache_directory() / ".strength" / f"{name}.json"
        self._trials: dict[str, Trial] = {}
        with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
            found = json.loads(self._file.read_text(encoding="utf-8"))
            self._trials = {key: Trial.from_json(trial) for key, trial in found.items()}

    def recall(self, mutation: Mutation) -> Trial | None:
        """What became of it, if it was tried on this very content."""
        return self._trials.get(_key(mutation))

    def keep(self, trial: Trial) -> None:
        """Remember one; :meth:`save` writes."""
        self._trials[_key(trial.mutation)] = trial

    def save(self) -> None:
        """Write all in one step; a cache that cannot be written is not worth an error."""
        with contextlib.suppress(OSError):
            self._file.parent.mkdir(parents=True, exist_ok=True)
            text = json.dumps({key: trial.as_json() for key, trial in self._trials.items()})
            with tempfile.NamedTemporaryFile(
                "w", dir=self._file.parent, prefix=".", delete=False, encoding="utf-8"
            ) as fresh:
                fresh.write(text)
            Path(fresh.name).replace(self._file)
            _prune(self._file.parent)


def _key(mutation: Mutation) -> str:
    return digest(mutation.file, mutation.start, mutation.end, mutation.after)


def _hash(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def _engine() -> str:
    """Our own code: what it would say of a mutant changes with it."""
    root = Path(__file__).parents[1]
    stats = [(str(p.relative_to(root)), p.stat().st_size, p.stat().st_mtime_ns) for p in root.rglob("*.py")]
    return digest(sorted(stats))


def _prune(folder: Path) -> None:
    files = sorted(folder.glob("*.json"), key=lambda path: path.stat().st_mtime)
    total = sum(file.stat().st_size for file in files)
    while files and total > _MOST_BYTES:
        total -= files[0].stat().st_size
        os.unlink(files.pop(0))  # noqa: PTH108 -- a race with another run ends in OSError, as wanted
