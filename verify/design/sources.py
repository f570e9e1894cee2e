"""Source files as text: read, decoded, and each given the keywords it was written for."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pyslang
from pyslang import parsing, syntax

from verify.errors import DesignError, Place
from verify.predefined import PREDEFINED
from verify.whole_files import read_whole

__all__ = ["Dialect", "SourceText", "lines_of", "read_sources"]

_OLD_KEYWORDS = '`begin_keywords "1364-2005" '
_AFTER_THE_END = "\x00\x1a"
_DEEPEST = 1000
_DEEPEST_INCLUDE = 64
_NESTING = re.compile(
    r"//[^\n]*|/\*.*?\*/|\"(?:[^\"\\\n]|\\.)*\"|\b(?:begin|end|generate|endgenerate)\b|[(){}\[\]]", re.DOTALL
)
_OPENING = {"begin", "generate", "(", "{", "["}
_CLOSING = {"end", "endgenerate", ")", "}", "]"}

_SYSTEMVERILOG_SUFFIXES = {".sv", ".svh"}


@dataclass(frozen=True, slots=True)
class SourceText:
    """One file. ``verilog_2005``: it only parses with the keywords of IEEE 1364-2005."""

    path: Path
    text: str
    verilog_2005: bool = False

    @property
    def prefix(self) -> str:
        """What is put before the first line (on the same line, so that line numbers stay true)."""
        return _OLD_KEYWORDS if self.verilog_2005 else ""

    @property
    def suffix(self) -> str:
        """What ends the file; directives need a line of their own."""
        return "\n`end_keywords\n" if self.verilog_2005 else "\n"


@dataclass(frozen=True, slots=True)
class Dialect:
    """What holds for all files: include folders, macros."""

    include: tuple[Path, ...] = ()
    defines: Mapping[str, str] | None = None

    def options(self) -> pyslang.Bag:
        """Options for the parser."""
        bag = pyslang.Bag()
        preprocessor = parsing.PreprocessorOptions()
        preprocessor.maxIncludeDepth = _DEEPEST_INCLUDE
        preprocessor.additionalIncludePaths = list(self.include)
        preprocessor.predefines = [
            f"{name}={value}" if value else name for name, value in (self.defines or {}).items()
        ]
        preprocessor.undefines = [name for name in PREDEFINED if name not in (self.defines or {})]
        bag.preprocessorOptions = preprocessor
        return bag


def read_sources(paths: Iterable[str | os.PathLike[str]], dialect: Dialect) -> tuple[SourceText, ...]:
    """The text of every file, each file once.

    Raises DesignError for a file that is missing, a folder or unreadable.
    """
    found: dict[Path, SourceText] = {}
    for path in map(Path, paths):
        key = path.resolve()
        if key not in found:
            text = _text(path)
            _check_nesting(path, text)
            found[key] = _with_keywords(SourceText(path, text), dialect)
    if not found:
        raise DesignError("no Verilog files were given", advice="name at least one .v or .sv file")
    return tuple(found.values())


def lines_of(path: Path) -> list[str]:
    """The lines of a file for showing; empty when it cannot be read."""
    try:
        return _decoded(read_whole(path)).splitlines()
    except OSError:
        return []


def _text(path: Path) -> str:
    try:
        return _decoded(read_whole(path))
    except FileNotFoundError:
        advice = "check the spelling and the folder the path is relative to"
        raise DesignError(f"no such file: {path}", place=Place(path), advice=advice) from None
    except IsADirectoryError:
        advice = f'name its files, such as "{path}/*.v"'
        raise DesignError(
            f"{path} is a folder, not a Verilog file", place=Place(path), advice=advice
        ) from None
    except OSError as error:
        raise DesignError(f"cannot read {path}: {error.strerror}", place=Place(path)) from None


def _decoded(raw: bytes) -> str:
    """UTF-8, or else a character per byte: comments in old files are in any encoding.

    What old editors put after the end, a control character, is no part of the text.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("latin-1")
    return text.rstrip(_AFTER_THE_END) if text.endswith(tuple(_AFTER_THE_END)) else text


def _with_keywords(source: SourceText, dialect: Dialect) -> SourceText:
    """Old keywords for a file that parses better with them."""
    if source.path.suffix.lower() in _SYSTEMVERILOG_SUFFIXES:
        return source
    errors = _parse_errors(source, dialect)
    if errors == 0:
        return source
    old = SourceText(source.path, source.text, verilog_2005=True)
    return old if _parse_errors(old, dialect) < errors else source


def _check_nesting(path: Path, text: str) -> None:
    """The parser has no limit of its own outside a module, and would run out of stack."""
    depth, line = 0, 1
    for match in _NESTING.finditer(text):
        word = match[0]
        if word in _OPENING:
            depth += 1
        elif word in _CLOSING:
            depth = max(depth - 1, 0)
        if depth > _DEEPEST:
            line = text.count("\n", 0, match.start()) + 1
            place = Place(path, line, source=text.splitlines()[line - 1][:200])
            raise DesignError(f"nested more than {_DEEPEST} levels deep", place=place)


def _parse_errors(source: SourceText, dialect: Dialect) -> int:
    manager = pyslang.SourceManager()
    text = source.prefix + source.text + source.suffix
    buffer = manager.assignText(str(source.path), text)
    tree = syntax.SyntaxTree.fromBuffer(buffer, manager, dialect.options())
    return sum(diagnostic.isError() for diagnostic in tree.diagnostics)
