"""Read a bench file."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from verify.bench.files import find_folders, find_sources
from verify.bench.keys import expected_at, key_text, known_keys
from verify.bench.places import KeyPath, Places
from verify.bench.schema import Bench, BenchFile
from verify.bench.spelling import listed, nearest, shown
from verify.errors import BenchError, Place
from verify.whole_files import read_whole

__all__ = ["bench_of", "load_bench"]

_POSITION = re.compile(r"\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)")


def load_bench(path: str | os.PathLike[str]) -> Bench:
    """The bench in the TOML file at ``path``, validated.

    Raises :class:`verify.errors.BenchError` with the place of the first key at fault.
    """
    path = Path(path)
    text = _text(path)
    tables = _tables(path, text)
    try:
        return bench_of(tables, path.parent, path=path, places=Places.read(path, text))
    except RecursionError:
        raise BenchError("the tables are nested too deeply", place=Place(path)) from None


def bench_of(
    tables: Mapping[str, Any], directory: Path, *, path: Path | None = None, places: Places | None = None
) -> Bench:
    """The bench in the tables of a TOML document; relative paths are relative to ``directory``.

    Raises :class:`verify.errors.BenchError`.
    """
    places = places or Places(path)
    tables = _with_names(tables, places)
    try:
        file = BenchFile.model_validate(tables)
    except ValidationError as error:
        raise _bench_error(error, tables, places) from None
    return Bench(
        path=path,
        directory=directory,
        design=file.design,
        files=find_sources(file.design.sources, directory, places),
        include=find_folders(file.design.include, directory, places),
        clock=file.clock,
        reset=file.reset,
        checks=file.check,
        places=places,
    )


def _text(path: Path) -> str:
    place = Place(path)
    try:
        raw = read_whole(path)
    except FileNotFoundError:
        advice = "check the spelling and the folder"
        raise BenchError(f"there is no bench file {path}", place=place, advice=advice) from None
    except IsADirectoryError:
        advice = "give the path of the file in it"
        raise BenchError(f"{path} is a folder, not a bench file", place=place, advice=advice) from None
    except OSError as error:
        raise BenchError(f"cannot read {path}: {error.strerror}", place=place) from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line = before.count(b"\n") + 1
        raise BenchError(
            f"byte 0x{raw[error.start]:02x} is not UTF-8, the encoding of TOML",
            place=Place(path, line, len(before.rpartition(b"\n")[2]) + 1),
            advice="save the file as UTF-8",
        ) from None
    if not text.strip():
        advice = "it needs at least [design] with `sources`, and one [[check]] with `model` and `ports`"
        raise BenchError("the bench file is empty", place=place, advice=advice)
    return text


def _tables(path: Path, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
    except RecursionError:
        raise BenchError("the tables are nested too deeply", place=Place(path)) from None
    match = _POSITION.search(message)
    lines = text.splitlines()
    line = int(match["line"]) if match and match["line"] else len(lines)
    column = int(match["column"]) if match and match["column"] else len(lines[-1]) + 1
    what = _POSITION.sub("", message)
    advice = None
    if "overwrite" in what or "twice" in what or "already" in what:
        what, advice = "this key or table stands twice", "keep one of the two"
    elif what == r"Illegal character '\n'":
        what, advice = "the text does not end on its line", "close the quotes"
    source = lines[line - 1] if line <= len(lines) else ""
    place = Place(path, line, column, source)
    raise BenchError(f"not valid TOML: {what[:1].lower()}{what[1:]}", place=place, advice=advice)


def _with_names(tables: Mapping[str, Any], places: Places) -> dict[str, Any]:
    """The tables with every check named, each name once."""
    result = dict(tables)
    checks, design = result.get("check"), result.get("design")
    if isinstance(checks, Mapping):
        raise BenchError(
            "check: found a single table, expected a list of tables",
            place=places.of("check"),
            advice="write [[check]], with two brackets",
        )
    if not isinstance(checks, list):
        return result
    top = design.get("top") if isinstance(design, Mapping) else None
    given = [check.get("name") for check in checks if isinstance(check, Mapping)]
    taken: set[Any] = set()
    named = []
    for index, check in enumerate(checks):
        if isinstance(check, Mapping) and "name" not in check:
            name = _free_name(check, top, [*given, *taken])
            check = {"name": name, **check}  # noqa: PLW2901 -- the check as it goes on
        elif isinstance(check, Mapping) and isinstance(check["name"], str) and check["name"] in taken:
            raise BenchError(
                f'check {index + 1}, name: found "{check["name"]}", which an earlier check has',
                place=places.of("check", index, "name"),
                advice="give every check a name of its own, or leave the names out",
            )
        named.append(check)
        if isinstance(check, Mapping) and isinstance(check.get("name"), str):
            taken.add(check["name"])
    result["check"] = named
    return result


def _shortly(model: Any) -> Any:
    """A golden model of the user's own goes by the name of its class."""
    return model.rpartition(":")[2] if isinstance(model, str) else model


def _free_name(check: Mapping[str, Any], top: Any, taken: list[Any]) -> str:
    parts = [str(part) for part in (check.get("module", top), _shortly(check.get("model"))) if part]
    name = base = ": ".join(parts) or "check"
    number = 1
    while name in taken:
        number += 1
        name = f"{base} ({number})"
    return name


def _bench_error(error: ValidationError, tables: Mapping[str, Any], places: Places) -> BenchError:
    """The first error in the order of the file; the alternatives of one value count as one."""
    details = [(_located(detail["loc"], tables, detail["type"]), detail["type"]) for detail in error.errors()]
    # A table that holds an error is at fault for that error alone.
    paths = {path for path, _ in details}
    details = [(p, k) for p, k in details if not any(len(q) > len(p) and q[: len(p)] == p for q in paths)]

    def position(item: tuple[KeyPath, str]) -> tuple[int, int, int]:
        place = places.of(*item[0])
        # Unknown keys first: a misspelt key often is the missing one.
        unknown = item[1] != "extra_forbidden"
        return (int(unknown), (place and place.line) or 0, (place and place.column) or 0)

    path, kind = min(details, key=position)
    key = key_text(path, tables)
    if kind == "extra_forbidden":
        known = known_keys(path[:-1])
        unknown = str(path[-1])
        where = key_text(path[:-1], tables) if len(path) > 1 else "the file"
        return BenchError(
            f'{where}: found the unknown key "{unknown}", expected one of {listed(known)}',
            place=places.of(*path),
            advice=nearest(unknown, known),
        )
    if kind == "missing":
        return BenchError(f"{key} is missing: expected {expected_at(path)}", place=places.of(*path))
    return BenchError(
        f"{key}: found {shown(_value_at(tables, path))}, expected {expected_at(path)}", place=places.of(*path)
    )


def _located(loc: tuple[str | int, ...], tables: Mapping[str, Any], kind: str) -> KeyPath:
    """The part of a validator's location that is a path in the file, without names of alternatives."""
    path: KeyPath = ()
    value: Any = tables
    for position, part in enumerate(loc):
        last = position == len(loc) - 1
        is_key = isinstance(value, Mapping) and part in value
        is_index = isinstance(value, (list, tuple)) and isinstance(part, int) and part < len(value)
        if is_key or is_index:
            value = value[part]
            path = (*path, part)
        elif last and kind == "missing" and isinstance(value, Mapping):
            path = (*path, part)
    return path


def _value_at(tables: Mapping[str, Any], path: KeyPath) -> Any:
    value: Any = tables
    for part in path:
        value = value[part]
    return value
