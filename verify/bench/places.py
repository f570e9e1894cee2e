"""Where each key of a bench file stands."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

from verify.errors import Place

__all__ = ["KeyPath", "Places"]

KeyPath = tuple[str | int, ...]
"""From the top of the file: ``("check", 0, "ports", "binary")``."""


@dataclass(frozen=True, slots=True)
class Places:
    """Key path -> place, for keys and for list elements; ``file`` None: the bench came from no file."""

    file: Path | None = None
    keys: Mapping[KeyPath, Place] = field(default_factory=dict)

    @classmethod
    def read(cls, file: Path, text: str) -> Places:
        """The places of all keys in ``text``, which is the content of ``file``."""
        root = Parser(Language(tree_sitter_toml.language())).parse(text.encode()).root_node
        found: dict[KeyPath, Place] = {}
        _Reader(file, text.splitlines(), found).document(root)
        return cls(file, found)

    def of(self, *path: str | int) -> Place | None:
        """The place of the longest part of ``path`` that stands in the file."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.keys:
                return self.keys[path[:length]]
        return None if self.file is None else Place(self.file)


class _Reader:
    """Walks the syntax tree of a TOML file; ``found`` gets the first place of every key path."""

    def __init__(self, file: Path, lines: list[str], found: dict[KeyPath, Place]) -> None:
        self._file, self._lines, self._found = file, lines, found
        self._elements: dict[KeyPath, int] = {}

    def document(self, root: Node) -> None:
        for node in root.named_children:
            if node.type == "pair":
                self._pair((), node)
            elif node.type in {"table", "table_array_element"}:
                self._table(node)

    def _table(self, node: Node) -> None:
        key, *pairs = [child for child in node.named_children if child.type != "comment"]
        path = self._opened(_names(key))
        if node.type == "table_array_element":
            index = self._elements.get(path, -1) + 1
            self._elements[path] = index
            self._note(path, key)
            path = (*path, index)
        self._note(path, key)
        for pair in pairs:
            self._pair(path, pair)

    def _opened(self, names: list[str]) -> KeyPath:
        """The path of a table header: a list of tables stands for its last element."""
        path: KeyPath = ()
        for position, name in enumerate(names):
            path = (*path, name)
            if position < len(names) - 1 and path in self._elements:
                path = (*path, self._elements[path])
        return path

    def _pair(self, above: KeyPath, node: Node) -> None:
        key, *values = node.named_children
        path = above
        for name in _names(key):
            path = (*path, name)
            self._note(path, key)
        if values:
            self._value(path, values[0])

    def _value(self, path: KeyPath, node: Node) -> None:
        if node.type == "inline_table":
            for pair in node.named_children:
                if pair.type == "pair":
                    self._pair(path, pair)
        elif node.type == "array":
            elements = [child for child in node.named_children if child.type != "comment"]
            for index, element in enumerate(elements):
                self._note((*path, index), element)
                self._value((*path, index), element)

    def _note(self, path: KeyPath, node: Node) -> None:
        row, byte = node.start_point
        source = self._lines[row] if row < len(self._lines) else ""
        column = len(source.encode()[:byte].decode(errors="ignore")) + 1
        self._found.setdefault(path, Place(self._file, row + 1, column, source))


def _names(key: Node) -> list[str]:
    """The parts of a dotted key, quotes and escapes undone."""
    if key.type == "dotted_key":
        return [name for part in key.named_children for name in _names(part)]
    text = (key.text or b"").decode()
    if key.type == "quoted_key":
        return [next(iter(tomllib.loads(f"{text} = 0")))]
    return [text]
