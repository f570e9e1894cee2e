"""From the reader's source locations to places that a person can open."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pyslang

from verify.design.sources import SourceText, lines_of
from verify.errors import Place

__all__ = ["PlaceFinder"]


class PlaceFinder:
    """Looks up locations in the files that were read; remembers the lines of included ones."""

    def __init__(self, manager: pyslang.SourceManager, sources: Iterable[SourceText]) -> None:
        self._manager = manager
        self._sources = {str(source.path): source for source in sources}
        self._lines = {name: source.text.splitlines() for name, source in self._sources.items()}

    def place(self, location: pyslang.SourceLocation) -> Place | None:
        """The place in the file, where a macro is used rather than defined; None for built-ins."""
        location = self._manager.getFullyExpandedLoc(location)
        name = self._manager.getFileName(location)
        if not name or not self._manager.isFileLoc(location):
            return None
        line = self._manager.getLineNumber(location)
        column = self._manager.getColumnNumber(location)
        if line == 1 and name in self._sources:
            column -= len(self._sources[name].prefix)
        text = self._line(name, line)
        if text is not None:
            # The reader counts bytes of UTF-8, people count characters.
            column = len(text.encode()[: column - 1].decode(errors="ignore")) + 1
        return Place(Path(name), line, column, text)

    def file(self, location: pyslang.SourceLocation) -> Path:
        """The file that holds the location."""
        return Path(self._manager.getFileName(self._manager.getFullyExpandedLoc(location)))

    def _line(self, name: str, line: int) -> str | None:
        lines = self._lines.setdefault(name, []) or lines_of(Path(name))
        self._lines[name] = lines
        return lines[line - 1] if 0 < line <= len(lines) else None
