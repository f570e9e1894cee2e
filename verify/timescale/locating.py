"""Where an expression stands, and how it is written."""

from __future__ import annotations

from pyslang import ast

from verify.design.elaborate import Parsed
from verify.errors import Place
from verify.timescale.terms import Key

__all__ = ["Locator"]

_SHOWN = 60


class Locator:
    """Looks up expressions of one set of parsed files."""

    def __init__(self, parsed: Parsed) -> None:
        self._manager = parsed.manager
        self._places = parsed.places

    def key(self, where: str, expression: ast.Expression) -> Key:
        """A key that is the same in every elaboration."""
        start, end = expression.sourceRange.start, expression.sourceRange.end
        return where, hash(start.buffer), start.offset, end.offset

    def place(self, expression: ast.Expression) -> Place | None:
        """The place of the expression's first character."""
        return self._places.place(expression.sourceRange.start)

    def place_of(self, symbol: ast.Symbol) -> Place | None:
        """The place of a declaration."""
        return self._places.place(symbol.location)

    def text(self, expression: ast.Expression) -> str:
        """The expression as written, on one line and not too long."""
        start, end = expression.sourceRange.start, expression.sourceRange.end
        if self._manager.isFileLoc(start) and start.buffer == end.buffer:
            text = self._manager.getSourceText(start.buffer)[start.offset : end.offset]
        else:
            text = str(expression.syntax) if expression.syntax is not None else "this constant"
        text = " ".join(text.split())
        return text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."
