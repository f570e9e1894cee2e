"""The place in the source at which an input is read."""

from __future__ import annotations

from collections.abc import Iterable

from pyslang import ast

from verify.errors import Place
from verify.timescale.locating import Locator
from verify.timescale.wiring import Wiring

__all__ = ["read_at"]


def read_at(symbols: Iterable[ast.Symbol], wiring: Wiring, locator: Locator) -> Place | None:
    """The only place at which a part of them is taken, else the only one at which they are read."""
    wanted = set(symbols)
    parts: list[Place] = []
    every: list[Place] = []

    def note(node: object) -> None:
        if isinstance(node, ast.RangeSelectExpression) and _symbol(node.value) in wanted:
            _keep(parts, locator.place(node))
        elif isinstance(node, ast.NamedValueExpression) and node.symbol in wanted:
            _keep(every, locator.place(node))

    for unit in wiring.units:
        if unit.reads & wanted:
            unit.node.visit(note)
    for found in (parts, every):
        if len(found) == 1:
            return found[0]
    return None


def _symbol(expression: ast.Expression) -> ast.Symbol | None:
    return expression.symbol if isinstance(expression, ast.NamedValueExpression) else None


def _keep(places: list[Place], place: Place | None) -> None:
    if place is not None and place not in places:
        places.append(place)
