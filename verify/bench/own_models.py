"""Golden models that a bench names as ``FILE.py:CLASS``."""

from __future__ import annotations

import importlib.util
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

from verify.bench.places import KeyPath
from verify.bench.schema import Bench
from verify.bench.spelling import listed, nearest
from verify.errors import BenchError, Place
from verify.models.family import Family, OptionError
from verify.models.own import OwnFamily

__all__ = ["is_own", "own_family"]


def is_own(model: str) -> bool:
    """Whether a bench's ``model`` names a file and not a built-in model."""
    return ".py" in model


def own_family(bench: Bench, model: str, key: str, path: KeyPath) -> Family:
    """The family of the class that ``model`` names; the path is relative to the bench.

    Raises :class:`verify.errors.BenchError` for a file or class that is not there, with the place in
    the user's file for whatever goes wrong in it.
    """
    place = bench.places.of(*path, "model")
    name, colon, wanted = model.rpartition(":")
    if not colon or not name or not wanted.isidentifier():
        raise BenchError(
            f'{key}: found "{model}", expected a file and a class in it, such as "models/kiln.py:Ramp"',
            place=place,
        )
    file = bench.directory / name
    if not file.is_file():
        raise BenchError(
            f'{key}: there is no file "{name}" in {bench.directory.absolute()}',
            place=place,
            advice="paths are relative to the folder of the bench file",
        )
    guard = _Guard(file, wanted)
    made_by = _class(file, wanted, guard, key, place)
    return OwnFamily(model, made_by, guard, (made_by.__doc__ or wanted).strip().splitlines()[0])


def _line_of(file: Path, wanted: str) -> int | None:
    rows = file.read_text(encoding="utf-8", errors="replace").splitlines()
    return next((i for i, row in enumerate(rows, 1) if row.startswith(f"class {wanted}")), None)


class _Guard:
    """Runs the user's code; what it raises becomes an error at the line that raised it."""

    def __init__(self, file: Path, wanted: str) -> None:
        self._file, self._wanted = file, wanted

    def wrong(self, message: str) -> BenchError:
        """The class breaks its contract."""
        return BenchError(
            f"{self._wanted} is no golden model: {message}",
            place=Place(self._file, _line_of(self._file, self._wanted)),
            advice="`pydoc verify.models.own` says what a golden model has",
        )

    def __call__(self, call: Callable[[], Any]) -> Any:
        try:
            return call()
        except (BenchError, OptionError):
            raise
        except SyntaxError as error:
            place = Place(self._file, error.lineno, error.offset, (error.text or "").rstrip())
            raise BenchError(f"the golden model is no Python: {error.msg}", place=place) from None
        except Exception as error:  # noqa: BLE001 -- somebody else's code may raise anything
            raise self._told(error) from None

    def _told(self, error: Exception) -> BenchError:
        frames = [
            f for f in traceback.extract_tb(error.__traceback__) if Path(f.filename) == self._file.absolute()
        ]
        place = Place(self._file)
        if frames:
            place = Place(self._file, frames[-1].lineno, None, frames[-1].line)
        where = f" in {frames[-1].name}()" if frames else ""
        text = str(error) or "no further word"
        return BenchError(f"the golden model raised {type(error).__name__}{where}: {text}", place=place)


def _class(file: Path, wanted: str, guard: _Guard, key: str, place: Place | None) -> type:
    name = f"everyedge_own_model_{abs(hash(file.absolute()))}"
    spec = importlib.util.spec_from_file_location(name, file.absolute())
    if spec is None or spec.loader is None:
        raise BenchError(f'{key}: "{file}" cannot be loaded as Python', place=place)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module  # dataclasses look their module up there
    loader = spec.loader
    writes = sys.dont_write_bytecode
    sys.dont_write_bytecode = True
    try:
        guard(lambda: loader.exec_module(module))
    finally:
        sys.dont_write_bytecode = writes
    found = getattr(module, wanted, None)
    if not isinstance(found, type):
        classes = [n for n, v in vars(module).items() if isinstance(v, type) and v.__module__ == name]
        raise BenchError(
            f'{key}: {file.name} has no class "{wanted}"; it has {listed(classes) or "none"}',
            place=place,
            advice=nearest(wanted, classes),
        )
    return found
