"""Combinational loops.

A loop is reported only where each bit on it is followed exactly or depends on all of its operands;
what may hold its value (a latch, an element under a variable index) breaks a loop. So a ripple
carry written over one vector is none, and a loop through such elements is not found.
"""

from __future__ import annotations

import graphlib
from collections.abc import Iterator

import pyslang
from pyslang import ast

from verify.design.dataflow import Bit, Deps, Graph, bits_of, followed, targets
from verify.design.interface import UnsafeConstruct
from verify.design.places import PlaceFinder
from verify.design.ports import place_of
from verify.design.procedure import follow
from verify.design.walk import children, members, name_below, targets_of

__all__ = ["loops_in"]

_MOST_NODES = 300_000
"""Beyond that the search is given up: it is a convenience, and the simulator's limits stand behind it."""

_SHOWN_NAMES = 6

_EDGES = {ast.EdgeKind.PosEdge, ast.EdgeKind.NegEdge, ast.EdgeKind.BothEdges}


def loops_in(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[UnsafeConstruct, ...]:
    """The first combinational loop in a module and everything below it; () when none is found."""
    graph = Graph()
    drivers: dict[ast.Symbol, pyslang.SourceLocation] = {}
    try:
        for bit, deps, location in _assigned(graph, body):
            graph.add(bit, deps)
            drivers.setdefault(bit[0], location)
            if len(graph.edges) > _MOST_NODES:
                return ()
    except RecursionError:  # an expression of a thousand terms
        return ()
    try:
        graphlib.TopologicalSorter(graph.edges).prepare()
    except graphlib.CycleError as error:
        nodes = [node for node in error.args[1] if not isinstance(node, int)]
        symbols = list(dict.fromkeys(symbol for symbol, _ in nodes))
        names = [name_below(body, symbol) for symbol in symbols]
        names = [name for name in names if "." not in name] or names
        first = names.index(min(names))
        names = names[first:] + names[:first]
        more = ", ..." if len(names) > _SHOWN_NAMES else ""
        what = f"combinational loop through {', '.join(names[:_SHOWN_NAMES])}{more}"
        return (UnsafeConstruct(what, place_of(places, drivers[symbols[0]])),)
    return ()


_Assigned = tuple[Bit, Deps, pyslang.SourceLocation]


def _assigned(graph: Graph, body: ast.InstanceBodySymbol) -> Iterator[_Assigned]:
    for symbol in members(body):
        match symbol:
            case ast.ContinuousAssignSymbol(assignment=ast.AssignmentExpression() as node):
                values = [] if _holds(node) else bits_of(graph, node.right)
                yield from _joined(graph, node.left, values, node.sourceRange.start)
            case ast.NetSymbol() if symbol.initializer is not None:
                for index, deps in enumerate(bits_of(graph, symbol.initializer)):
                    yield (symbol, index), deps, symbol.location
            case ast.ProceduralBlockSymbol() if _is_combinational(symbol):
                for bit, deps in follow(graph, symbol).items():
                    yield bit, deps, symbol.location
            case ast.PrimitiveInstanceSymbol():
                yield from _gate(graph, symbol)
            case ast.InstanceSymbol():
                yield from _connections(graph, symbol)
    for instance in children(body):
        yield from _assigned(graph, instance.body)


def _joined(
    graph: Graph, left: ast.Expression, values: list[Deps], location: pyslang.SourceLocation
) -> Iterator[_Assigned]:
    for alternatives, deps in zip(targets(graph, left), values, strict=False):
        for target in alternatives:
            if target.sure:
                yield target.bit, deps, location


def _holds(node: ast.AssignmentExpression) -> bool:
    """Whether it is a latch written as ``q = en ? d : q``."""
    right = node.right
    while isinstance(right, ast.ConversionExpression):
        right = right.operand
    if not isinstance(right, ast.ConditionalExpression):
        return False
    assigned = set(targets_of(node.left))
    arms = (arm for arm in (right.left, right.right) if isinstance(arm, ast.NamedValueExpression))
    return any(arm.symbol in assigned for arm in arms)


def _is_combinational(block: ast.ProceduralBlockSymbol) -> bool:
    if block.procedureKind in {ast.ProceduralBlockKind.AlwaysComb, ast.ProceduralBlockKind.AlwaysLatch}:
        return True
    body = block.body
    if block.procedureKind is not ast.ProceduralBlockKind.Always or not isinstance(body, ast.TimedStatement):
        return False
    timing = body.timing
    if isinstance(timing, ast.ImplicitEventControl):
        return True
    controls = timing.events if isinstance(timing, ast.EventListControl) else [timing]
    return all(isinstance(c, ast.SignalEventControl) and c.edge not in _EDGES for c in controls)


def _gate(graph: Graph, gate: ast.PrimitiveInstanceSymbol) -> Iterator[_Assigned]:
    if gate.primitiveType.isSequential:
        return
    inputs: list[Deps] = []
    outputs: list[ast.Expression] = []
    for expression in gate.portConnections:
        if isinstance(expression, ast.AssignmentExpression):
            outputs.append(expression.left)
        elif expression is not None:
            inputs += bits_of(graph, expression)
    deps = graph.joined(*inputs)
    for output in outputs:
        yield from _joined(graph, output, [deps] * followed(output), gate.location)


def _connections(graph: Graph, instance: ast.InstanceSymbol) -> Iterator[_Assigned]:
    for connection in instance.portConnections:
        port, expression = connection.port, connection.expression
        if not isinstance(port, ast.PortSymbol) or expression is None:
            continue
        inside = port.internalSymbol
        if not isinstance(inside, (ast.NetSymbol, ast.VariableSymbol)) or port.internalExpr is not None:
            continue
        if port.direction is ast.ArgumentDirection.In:
            for bit, deps in enumerate(bits_of(graph, expression)):
                yield (inside, bit), deps, expression.sourceRange.start
        elif port.direction is ast.ArgumentDirection.Out and isinstance(expression, ast.AssignmentExpression):
            values: list[Deps] = [((inside, bit),) for bit in range(followed(inside))]
            yield from _joined(graph, expression.left, values, expression.sourceRange.start)
