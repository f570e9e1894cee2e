"""What drives what in an elaborated hierarchy, and what the checked outputs depend on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pyslang import ast

from verify.design.walk import targets_of, values_in

__all__ = ["Unit", "Wiring", "internal_symbols"]

_STEPS = {
    ast.UnaryOperator.Postdecrement,
    ast.UnaryOperator.Postincrement,
    ast.UnaryOperator.Predecrement,
    ast.UnaryOperator.Preincrement,
}

_SCOPES = (ast.GenerateBlockSymbol, ast.GenerateBlockArraySymbol, ast.InstanceArraySymbol)


@dataclass(frozen=True, slots=True, eq=False)
class Unit:
    """Something that drives ``targets`` and reads ``reads``.

    ``node``: a procedural block or continuous assignment, or the expression of an initial value or
    of a connection to an instance. ``path``: the scope that it stands in. ``source``: what a single
    target as a whole is a copy of, when that is all that the unit does. ``type``: of the target of a
    bare expression.
    """

    path: str
    node: ast.Symbol | ast.Expression
    targets: frozenset[ast.Symbol]
    reads: frozenset[ast.Symbol]
    source: ast.Expression | ast.Symbol | None = None
    type: ast.Type | None = None


class Wiring:
    """All units of a module and of everything below it; ``instances`` by hierarchical path."""

    def __init__(self, body: ast.InstanceBodySymbol) -> None:
        self.instances: dict[str, ast.InstanceSymbol] = {}
        self.units = tuple(_units(body, body.hierarchicalPath, self.instances))
        self._drivers: dict[ast.Symbol, list[Unit]] = {}
        for unit in self.units:
            for target in unit.targets:
                self._drivers.setdefault(target, []).append(unit)

    def source_of(self, symbol: ast.Symbol) -> ast.Expression | ast.Symbol | None:
        """What a variable or net always is a copy of; None when it is not that simple."""
        units = self._drivers.get(symbol, [])
        return units[0].source if len(units) == 1 else None

    def cone(self, symbols: Iterable[ast.Symbol]) -> list[Unit]:
        """The units that ``symbols`` depend on, in source order."""
        found: set[int] = set()
        queue, seen = list(symbols), set(symbols)
        while queue:
            for unit in self._drivers.get(queue.pop(), ()):
                found.add(id(unit))
                queue += unit.reads - seen
                seen |= unit.reads
        return [unit for unit in self.units if id(unit) in found]


def internal_symbols(port: ast.Symbol) -> tuple[ast.Symbol, ...]:
    """The variables and nets behind a port."""
    if isinstance(port, ast.MultiPortSymbol):
        return tuple(symbol for part in port.ports for symbol in internal_symbols(part))
    if isinstance(port, ast.PortSymbol):
        if port.internalSymbol is not None:
            return (port.internalSymbol,)
        if port.internalExpr is not None:
            return tuple(targets_of(port.internalExpr))
    return ()


def _units(
    scope: Iterable[ast.Symbol], path: str, instances: dict[str, ast.InstanceSymbol]
) -> Iterator[Unit]:
    for symbol in scope:
        if isinstance(symbol, (ast.ProceduralBlockSymbol, ast.ContinuousAssignSymbol)):
            yield _statement(path, symbol)
        elif isinstance(symbol, (ast.NetSymbol, ast.VariableSymbol)):
            if symbol.initializer is not None:
                first = symbol.initializer
                yield Unit(path, first, frozenset({symbol}), frozenset(values_in(first)), first, symbol.type)
        elif isinstance(symbol, ast.PrimitiveInstanceSymbol):
            yield _gate(path, symbol)
        elif isinstance(symbol, ast.InstanceSymbol) and symbol.isModule:
            instances[symbol.hierarchicalPath] = symbol
            for connection in symbol.portConnections:
                yield from _connected(path, connection)
            yield from _units(symbol.body, symbol.hierarchicalPath, instances)
        elif isinstance(symbol, _SCOPES) and not getattr(symbol, "isUninstantiated", False):
            yield from _units(symbol, symbol.hierarchicalPath, instances)


class _Reader:
    """Collects what a statement assigns and reads, the subroutines that it calls included.

    An object and no function inside another: one that calls itself would be a reference cycle, and
    what it holds has to be gone before the compilation that it belongs to.
    """

    def __init__(self) -> None:
        self.targets: set[ast.Symbol] = set()
        self.reads: set[ast.Symbol] = set()
        self.copies: list[ast.AssignmentExpression] = []
        self._called: set[ast.Symbol] = set()

    def note(self, node: object) -> None:
        """Take in one node of the tree."""
        if isinstance(node, ast.AssignmentExpression):
            self.targets.update(targets_of(node.left))
            self.copies.append(node)
        elif isinstance(node, ast.UnaryExpression) and node.op in _STEPS:
            self.targets.update(targets_of(node.operand))
        elif isinstance(node, (ast.NamedValueExpression, ast.HierarchicalValueExpression)):
            self.reads.add(node.symbol)
        elif isinstance(node, ast.CallExpression) and not node.isSystemCall:
            subroutine = node.subroutine
            if isinstance(subroutine, ast.SubroutineSymbol) and subroutine not in self._called:
                self._called.add(subroutine)
                subroutine.visit(self.note)


def _statement(path: str, symbol: ast.ProceduralBlockSymbol | ast.ContinuousAssignSymbol) -> Unit:
    reader = _Reader()
    symbol.visit(reader.note)
    source = _copied(symbol, reader.copies)
    return Unit(path, symbol, frozenset(reader.targets), frozenset(reader.reads), source)


def _copied(
    symbol: ast.ProceduralBlockSymbol | ast.ContinuousAssignSymbol, copies: list[ast.AssignmentExpression]
) -> ast.Expression | None:
    """The right side of the only assignment, when it always holds."""
    if len(copies) != 1 or not isinstance(copies[0].left, ast.NamedValueExpression):
        return None
    once = isinstance(symbol, ast.ContinuousAssignSymbol) or (
        symbol.procedureKind == ast.ProceduralBlockKind.Initial
        and isinstance(symbol.body, ast.ExpressionStatement)
    )
    return copies[0].right if once else None


def _gate(path: str, gate: ast.PrimitiveInstanceSymbol) -> Unit:
    targets: set[ast.Symbol] = set()
    reads: set[ast.Symbol] = set()
    for expression in gate.portConnections:
        if isinstance(expression, ast.AssignmentExpression):
            targets.update(targets_of(expression.left))
        elif expression is not None:
            reads.update(values_in(expression))
    return Unit(path, gate, frozenset(targets), frozenset(reads))


def _connected(path: str, connection: ast.PortConnection) -> Iterator[Unit]:
    expression, port = connection.expression, connection.port
    if expression is None or not isinstance(port, (ast.PortSymbol, ast.MultiPortSymbol)):
        return
    inside = internal_symbols(port)
    if port.direction != ast.ArgumentDirection.In:
        left = expression.left if isinstance(expression, ast.AssignmentExpression) else expression
        whole = isinstance(left, ast.NamedValueExpression) and len(inside) == 1
        same = whole and left.type.bitWidth == port.type.bitWidth
        source = inside[0] if same and port.direction == ast.ArgumentDirection.Out else None
        yield Unit(path, expression, frozenset(targets_of(left)), frozenset(inside), source)
    if port.direction != ast.ArgumentDirection.Out:
        plain = expression if port.direction == ast.ArgumentDirection.In and len(inside) == 1 else None
        reads = frozenset(values_in(expression))
        yield Unit(path, expression, frozenset(inside), reads, plain, port.type)
