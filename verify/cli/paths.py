"""From the words of the command line to the files that are meant."""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

from verify.errors import BenchError, DesignError, Place
from verify.report.figures import path_text

__all__ = ["VERILOG_SUFFIXES", "benches_in", "split_paths"]

BENCH_NAME = "bench.toml"
VERILOG_SUFFIXES = (".v", ".sv", ".vh", ".svh")
_SKIPPED = {"node_modules", "__pycache__"}


def split_paths(paths: Sequence[Path]) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """Bench files and Verilog files among ``paths``; folders become the benches in them.

    Raises BenchError or DesignError for what is not there, is neither, or is both.
    """
    benches: dict[Path, Path] = {}
    verilog: list[Path] = []
    for path in paths or (Path(),):
        _exists(path)
        if path.is_dir():
            benches |= {bench.resolve(): bench for bench in benches_in(path)}
        elif path.suffix.lower() in VERILOG_SUFFIXES:
            verilog.append(path)
        elif path.suffix.lower() == ".toml":
            benches[path.resolve()] = path
        else:
            raise BenchError(
                f"{path_text(path)} is neither a bench ({BENCH_NAME}) nor Verilog (.v, .sv)",
                advice="a bench is a .toml file that names the design and what must be true of it",
            )
    if benches and verilog:
        raise DesignError(
            f"both a bench ({path_text(next(iter(benches.values())))}) and Verilog "
            f"({path_text(verilog[0])}) were named",
            advice="name the bench alone: its `sources` says which Verilog belongs to it",
        )
    return tuple(benches.values()), tuple(verilog)


def benches_in(folder: Path) -> tuple[Path, ...]:
    """Every bench.toml in and below ``folder``, hidden folders left out, in the order of their names."""
    here = folder / BENCH_NAME
    found = (here,) if here.is_file() else tuple(sorted(_below(folder)))
    if not found:
        where = "this folder" if folder == Path() else path_text(folder)
        verilog = next((f for f in sorted(folder.iterdir()) if f.suffix.lower() in VERILOG_SUFFIXES), None)
        start = f"`everyedge check {path_text(verilog)}`" if verilog else "`everyedge check YOUR_DESIGN.v`"
        raise BenchError(
            f"there is no {BENCH_NAME} in {where} or below it",
            advice=f"name a bench file; {start} infers one",
        )
    return found


def _below(folder: Path) -> Iterator[Path]:
    for parent, folders, files in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".") and name not in _SKIPPED]
        if BENCH_NAME in files:
            yield Path(parent) / BENCH_NAME


def _exists(path: Path) -> None:
    if path.exists():
        return
    folder = path.parent
    error = DesignError if path.suffix.lower() in VERILOG_SUFFIXES else BenchError
    names = [entry.name for entry in folder.iterdir()] if folder.is_dir() else []
    if path.is_symlink():
        raise error("it is a link to what is not there", place=Place(path))
    near = difflib.get_close_matches(path.name, names, n=1, cutoff=0.75)
    if near:
        advice = f"did you mean {path_text(folder / near[0])}?"
    elif names or folder.is_dir():
        advice = "check the spelling; the path is taken from the folder you are in"
    else:
        advice = f"there is no folder {path_text(folder)} either"
    raise error("there is no such file", place=Place(path), advice=advice)
