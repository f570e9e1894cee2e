"""Where a port gets its value."""

from __future__ import annotations

from pyslang import ast

from verify.design.places import PlaceFinder
from verify.design.walk import Assignment, assignments, targets_of
from verify.errors import Place

__all__ = ["Drivers"]

_ENOUGH = 8


class Drivers:
    """Assignments by what they assign, collected module by module when asked for."""

    def __init__(self, places: PlaceFinder) -> None:
        self._places = places
        self._known: dict[ast.InstanceBodySymbol, dict[ast.Symbol, list[Assignment]]] = {}

    def of_port(self, body: ast.InstanceBodySymbol, port: ast.Symbol) -> tuple[Place, ...]:
        """Where ``port`` is assigned: its own assignments, then those of what they copy.

        Follows continuous assignments and connections of instances, up to eight places.
        """
        found: dict[Place, None] = {}
        queue = [(body, symbol) for symbol in _inside(port)]
        seen = set(queue)
        while queue and len(found) < _ENOUGH:
            where, symbol = queue.pop(0)
            for assignment in self._assigned(where).get(symbol, ()):
                place = self._places.place(assignment.location)
                if place is not None:
                    found[place] = None
                upstream = _upstream(where, assignment)
                queue += [item for item in upstream if item not in seen]
                seen.update(upstream)
        return tuple(found)[:_ENOUGH]

    def _assigned(self, body: ast.InstanceBodySymbol) -> dict[ast.Symbol, list[Assignment]]:
        if body not in self._known:
            by_target: dict[ast.Symbol, list[Assignment]] = {}
            # A constant is mostly a reset value, and seldom the line to look at first.
            for assignment in sorted(assignments(body), key=lambda a: a.constant):
                for target in assignment.targets:
                    by_target.setdefault(target, []).append(assignment)
            self._known[body] = by_target
        return self._known[body]


def _inside(port: ast.Symbol) -> list[ast.Symbol]:
    if isinstance(port, ast.MultiPortSymbol):
        return [symbol for part in port.ports for symbol in _inside(part)]
    if isinstance(port, ast.PortSymbol):
        if port.internalSymbol is not None:
            return [port.internalSymbol]
        if port.internalExpr is not None:
            return list(targets_of(port.internalExpr))
    return []


def _upstream(
    body: ast.InstanceBodySymbol, assignment: Assignment
) -> list[tuple[ast.InstanceBodySymbol, ast.Symbol]]:
    if assignment.child is not None:
        instance, port = assignment.child
        return [(instance.body, symbol) for symbol in _inside(port)]
    if assignment.block is None:
        return [(body, symbol) for symbol in assignment.sources]
    return []
