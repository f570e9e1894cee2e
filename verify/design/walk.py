"""The assignments inside one elaborated module: who is assigned, where, from what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pyslang
from pyslang import ast

__all__ = ["Assignment", "assignments", "children", "members", "name_below", "targets_of", "values_in"]

_STEPS = {
    ast.UnaryOperator.Postdecrement,
    ast.UnaryOperator.Postincrement,
    ast.UnaryOperator.Predecrement,
    ast.UnaryOperator.Preincrement,
}

_CONSTANT_KINDS = {
    ast.ExpressionKind.IntegerLiteral,
    ast.ExpressionKind.UnbasedUnsizedIntegerLiteral,
    ast.ExpressionKind.Conversion,
    ast.ExpressionKind.Replication,
    ast.ExpressionKind.Concatenation,
}


@dataclass(frozen=True, slots=True)
class Assignment:
    """``targets`` get a value made from ``sources``.

    ``block``: the procedural block, None outside one. ``constant``: the value is a literal.
    ``child``: the instance and its port, for a connection that drives the targets.
    """

    targets: tuple[ast.Symbol, ...]
    sources: tuple[ast.Symbol, ...]
    location: pyslang.SourceLocation
    block: ast.ProceduralBlockSymbol | None = None
    constant: bool = False
    child: tuple[ast.InstanceSymbol, ast.Symbol] | None = None


def members(scope: ast.Scope | ast.InstanceBodySymbol) -> Iterator[ast.Symbol]:
    """The members of a module, generate blocks and arrays of instances opened."""
    for symbol in scope:
        if isinstance(symbol, (ast.GenerateBlockSymbol, ast.GenerateBlockArraySymbol)):
            if not getattr(symbol, "isUninstantiated", False):
                yield from members(symbol)  # type: ignore[arg-type]
        elif isinstance(symbol, ast.InstanceArraySymbol):
            yield from members(symbol)  # type: ignore[arg-type]
        else:
            yield symbol


def children(body: ast.InstanceBodySymbol) -> Iterator[ast.InstanceSymbol]:
    """The module instances directly inside a module."""
    for symbol in members(body):
        if isinstance(symbol, ast.InstanceSymbol) and symbol.isModule:
            yield symbol


def name_below(body: ast.InstanceBodySymbol, symbol: ast.Symbol) -> str:
    """The name of ``symbol`` as seen from inside ``body``, such as ``g[0].u.count``."""
    return symbol.hierarchicalPath.removeprefix(body.hierarchicalPath + ".")


def targets_of(expression: ast.Expression) -> Iterator[ast.Symbol]:
    """The variables and nets that an assignment to ``expression`` changes."""
    if isinstance(expression, (ast.NamedValueExpression, ast.HierarchicalValueExpression)):
        yield expression.symbol
    elif isinstance(
        expression, (ast.ElementSelectExpression, ast.RangeSelectExpression, ast.MemberAccessExpression)
    ):
        yield from targets_of(expression.value)
    elif isinstance(expression, ast.ConcatenationExpression):
        for operand in expression.operands:
            yield from targets_of(operand)
    elif isinstance(expression, ast.ConversionExpression):
        yield from targets_of(expression.operand)
    elif isinstance(expression, ast.AssignmentExpression):
        yield from targets_of(expression.left)


def values_in(expression: ast.Expression) -> tuple[ast.Symbol, ...]:
    """The variables and nets read in an expression, in order, once each."""
    found: dict[ast.Symbol, None] = {}

    def note(node: object) -> None:
        if isinstance(node, (ast.NamedValueExpression, ast.HierarchicalValueExpression)):
            found[node.symbol] = None

    expression.visit(note)
    return tuple(found)


def assignments(body: ast.InstanceBodySymbol) -> list[Assignment]:
    """Every assignment in a module, its subroutines and the connections of its instances."""
    found: list[Assignment] = []
    for symbol in members(body):
        if isinstance(symbol, ast.InstanceSymbol):
            found += _connections(symbol)
        elif isinstance(symbol, ast.PrimitiveInstanceSymbol):
            found += _gate(symbol)
        elif isinstance(symbol, ast.NetSymbol):
            if symbol.initializer is not None:
                sources = values_in(symbol.initializer)
                found.append(Assignment((symbol,), sources, symbol.location, constant=not sources))
        elif isinstance(
            symbol, (ast.ProceduralBlockSymbol, ast.ContinuousAssignSymbol, ast.SubroutineSymbol)
        ):
            block = symbol if isinstance(symbol, ast.ProceduralBlockSymbol) else None
            found += _inside(symbol, block)
    return found


def _inside(symbol: ast.Symbol, block: ast.ProceduralBlockSymbol | None) -> list[Assignment]:
    found = []

    def note(node: object) -> None:
        if isinstance(node, ast.AssignmentExpression):
            targets = tuple(targets_of(node.left))
            start = node.sourceRange.start
            found.append(Assignment(targets, values_in(node.right), start, block, _is_constant(node.right)))
        elif isinstance(node, ast.UnaryExpression) and node.op in _STEPS:
            targets = tuple(targets_of(node.operand))
            found.append(Assignment(targets, targets, node.sourceRange.start, block))

    symbol.visit(note)
    return found


def _is_constant(expression: ast.Expression) -> bool:
    constant = True

    def note(node: object) -> None:
        nonlocal constant
        if isinstance(node, ast.Expression) and node.kind not in _CONSTANT_KINDS:
            constant = False

    expression.visit(note)
    return constant


def _connections(instance: ast.InstanceSymbol) -> Iterator[Assignment]:
    for connection in instance.portConnections:
        port, expression = connection.port, connection.expression
        if expression is None or not isinstance(port, (ast.PortSymbol, ast.MultiPortSymbol)):
            continue
        if port.direction in (ast.ArgumentDirection.Out, ast.ArgumentDirection.InOut):
            location = expression.sourceRange.start
            yield Assignment(tuple(targets_of(expression)), (), location, child=(instance, port))


def _gate(gate: ast.PrimitiveInstanceSymbol) -> Iterator[Assignment]:
    outputs, inputs = [], []
    for expression in gate.portConnections:
        if isinstance(expression, ast.AssignmentExpression):
            outputs += list(targets_of(expression.left))
        elif expression is not None:
            inputs += list(values_in(expression))
    yield Assignment(tuple(outputs), tuple(inputs), gate.location)
