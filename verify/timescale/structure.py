"""What of a design's structure a parameter can change: generate blocks and widths."""

from __future__ import annotations

from collections.abc import Iterable

from pyslang import ast

from verify.timescale.wiring import Unit

__all__ = ["branches", "widths"]


def branches(body: ast.InstanceBodySymbol) -> dict[str, ast.GenerateBlockSymbol]:
    """The conditional generate blocks below a module, chosen or not, by hierarchical path."""
    found: dict[str, ast.GenerateBlockSymbol] = {}
    _collect(body, found)
    return found


def _collect(scope: Iterable[ast.Symbol], found: dict[str, ast.GenerateBlockSymbol]) -> None:
    for symbol in scope:
        if isinstance(symbol, ast.GenerateBlockSymbol):
            if symbol.conditionExpression is not None:
                found.setdefault(f"{symbol.hierarchicalPath}#{symbol.constructIndex}.{_nth(symbol)}", symbol)
            if not symbol.isUninstantiated:
                _collect(symbol, found)
        elif isinstance(symbol, (ast.GenerateBlockArraySymbol, ast.InstanceArraySymbol)):
            _collect(symbol, found)
        elif isinstance(symbol, ast.InstanceSymbol) and symbol.isModule:
            _collect(symbol.body, found)


def _nth(symbol: ast.GenerateBlockSymbol) -> str:
    """Branches of one construct may share a name."""
    return f"{symbol.location.offset}"


def widths(units: Iterable[Unit]) -> dict[str, int]:
    """The width of everything that ``units`` drive, by hierarchical path."""
    return {
        target.hierarchicalPath: target.type.bitWidth  # type: ignore[attr-defined]
        for unit in units
        for target in unit.targets
    }
