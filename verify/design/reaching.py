"""Which inputs reach which outputs, through registers and all; and what pins are called inside.

Followed by whole signals, but for constant bits and slices of input ports. What an output cannot
depend on is left out for certain; what is listed may still have no effect.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from pyslang import ast

from verify.design.interface import Pin
from verify.design.ports import integer_of
from verify.design.walk import children, members, targets_of, values_in

__all__ = ["pins_of", "reached_by"]

_Node = ast.Symbol | str
"""A signal, or a constant part of an input port as written: ``KEY[0]``, ``SW[3:0]``."""

_NEGATIONS = {ast.UnaryOperator.LogicalNot, ast.UnaryOperator.BitwiseNot}


@dataclass(slots=True)
class _Net:
    """``inputs``: symbols of the input ports of the module on top. ``edges``: what each node reads."""

    inputs: frozenset[ast.Symbol]
    edges: dict[_Node, set[_Node]] = field(default_factory=dict)
    ends: dict[ast.Symbol, str] = field(default_factory=dict)
    """Outputs of instances: ``module.port``, which counts as an input where nothing drives it."""

    def read_in(self, *expressions: ast.Expression | None) -> set[_Node]:
        """All that is read; of an input port only the part, where that is constant."""
        found: set[_Node] = set()

        def note(node: object) -> ast.VisitAction:
            part = _part(node)
            if part is not None and part[0] in self.inputs:
                found.add(part[1])
                return ast.VisitAction.Skip
            if isinstance(node, (ast.NamedValueExpression, ast.HierarchicalValueExpression)):
                found.add(node.symbol)
            return ast.VisitAction.Advance

        for expression in expressions:
            if expression is not None:
                expression.visit(note)
        return found

    def assign(self, left: ast.Expression, sources: set[_Node]) -> None:
        """What ``left`` names is made of ``sources``."""
        for target in targets_of(left):
            self.edges.setdefault(target, set()).update(sources)


def reached_by(body: ast.InstanceBodySymbol) -> Mapping[str, frozenset[str]]:
    """Output port -> the input ports, or constant parts of them, that it may depend on."""
    inputs: dict[ast.Symbol, str] = {}
    outputs: dict[ast.Symbol, str] = {}
    for port in body.portList:
        symbol = getattr(port, "internalSymbol", None)
        if isinstance(symbol, ast.ValueSymbol):
            kind = inputs if port.direction is ast.ArgumentDirection.In else outputs
            kind[symbol] = port.name
    net = _Net(frozenset(inputs))
    _fill(net, body)
    return {name: _reaching(net, symbol, inputs) for symbol, name in outputs.items()}


def _reaching(net: _Net, output: ast.Symbol, inputs: Mapping[ast.Symbol, str]) -> frozenset[str]:
    seen: set[_Node] = {output}
    waiting: list[_Node] = [output]
    while waiting:
        for node in net.edges.get(waiting.pop(), ()):
            if node not in seen:
                seen.add(node)
                waiting.append(node)
    whole = {inputs[node] for node in seen if not isinstance(node, str) and node in inputs}
    undriven = {
        net.ends[node]
        for node in seen
        if not isinstance(node, str) and node in net.ends and node not in net.edges
    }
    parts = {node for node in seen if isinstance(node, str) and node.partition("[")[0] not in whole}
    return frozenset(whole | parts | undriven)


def _part(node: object) -> tuple[ast.Symbol, str] | None:
    """A constant bit or slice of a signal, and how it is written."""
    if isinstance(node, ast.ElementSelectExpression) and isinstance(node.value, ast.NamedValueExpression):
        index = _integer(node.selector)
        return None if index is None else (node.value.symbol, f"{node.value.symbol.name}[{index}]")
    if (
        isinstance(node, ast.RangeSelectExpression)
        and isinstance(node.value, ast.NamedValueExpression)
        and node.selectionKind is ast.RangeSelectionKind.Simple
    ):
        left, right = _integer(node.left), _integer(node.right)
        if left is not None and right is not None:
            return node.value.symbol, f"{node.value.symbol.name}[{left}:{right}]"
    return None


def _integer(node: ast.Expression) -> int | None:
    return None if node.constant is None else integer_of(node.constant)


def _fill(net: _Net, body: ast.InstanceBodySymbol) -> None:
    for symbol in members(body):
        match symbol:
            case ast.ContinuousAssignSymbol(assignment=ast.AssignmentExpression() as node):
                net.assign(node.left, net.read_in(node.right, *_selectors(node.left)))
            case ast.NetSymbol() | ast.VariableSymbol() if symbol.initializer is not None:
                net.edges.setdefault(symbol, set()).update(net.read_in(symbol.initializer))
            case ast.ProceduralBlockSymbol():
                _statement(net, symbol.body, set())
            case ast.SubroutineSymbol():
                _statement(net, symbol.body, set())
            case ast.PrimitiveInstanceSymbol():
                _gate(net, symbol)
            case ast.InstanceSymbol():
                _connect(net, symbol)
    for instance in children(body):
        _fill(net, instance.body)


def _selectors(left: ast.Expression) -> Iterator[ast.Expression]:
    if isinstance(left, ast.ElementSelectExpression):
        yield left.selector
        yield from _selectors(left.value)


def _gate(net: _Net, gate: ast.PrimitiveInstanceSymbol) -> None:
    connections = [c for c in gate.portConnections if c is not None]
    sources = net.read_in(*(c for c in connections if not isinstance(c, ast.AssignmentExpression)))
    for connection in connections:
        if isinstance(connection, ast.AssignmentExpression):
            net.assign(connection.left, sources)


def _connect(net: _Net, instance: ast.InstanceSymbol) -> None:
    for connection in instance.portConnections:
        inside = getattr(connection.port, "internalSymbol", None)
        expression = connection.expression
        if expression is None or inside is None:
            continue
        if connection.port.direction is ast.ArgumentDirection.In:
            net.edges.setdefault(inside, set()).update(net.read_in(expression))
        else:
            net.ends[inside] = f"{instance.definition.name}.{connection.port.name}"
            net.assign(expression, {inside})


def _statement(net: _Net, node: ast.Statement, control: set[_Node]) -> None:  # noqa: C901 -- a case per kind
    """Enter what a statement assigns, which also depends on what decides that it runs."""
    match node:
        case ast.StatementList():
            for statement in node.list:
                _statement(net, statement, control)
        case ast.BlockStatement():
            _statement(net, node.body, control)
        case ast.TimedStatement():
            _statement(net, node.stmt, control | _events(net, node.timing))
        case ast.ConditionalStatement():
            control = control | net.read_in(*(c.expr for c in node.conditions))
            _statement(net, node.ifTrue, control)
            if node.ifFalse is not None:
                _statement(net, node.ifFalse, control)
        case ast.CaseStatement():
            choices = (e for item in node.items for e in item.expressions)
            control = control | net.read_in(node.expr, *choices)
            for item in node.items:
                _statement(net, item.stmt, control)
            if node.defaultCase is not None:
                _statement(net, node.defaultCase, control)
        case _:
            inner = getattr(node, "body", None)
            if isinstance(inner, ast.Statement):
                _statement(net, inner, control)
            else:
                _expressions(net, node, control)


def _events(net: _Net, timing: object) -> set[_Node]:
    controls = timing.events if isinstance(timing, ast.EventListControl) else [timing]
    return {n for c in controls if isinstance(c, ast.SignalEventControl) for n in net.read_in(c.expr)}


def _expressions(net: _Net, node: ast.Statement, control: set[_Node]) -> None:
    def note(part: object) -> None:
        if isinstance(part, ast.AssignmentExpression):
            net.assign(part.left, control | net.read_in(part.right, *_selectors(part.left)))
        elif isinstance(part, ast.UnaryExpression) and "crement" in part.op.name:
            net.assign(part.operand, control)

    node.visit(note)


def pins_of(body: ast.InstanceBodySymbol) -> tuple[Pin, ...]:
    """What input ports and constant bits of them are called inside: wires, and ports of instances."""
    found: list[Pin] = []
    for symbol in members(body):
        match symbol:
            case ast.ContinuousAssignSymbol(assignment=ast.AssignmentExpression() as node):
                names = list(targets_of(node.left))
                if len(names) == 1 and isinstance(_bare(node.left), ast.NamedValueExpression):
                    found += _pin(node.right, names[0].name, "")
            case ast.NetSymbol() if symbol.initializer is not None:
                found += _pin(symbol.initializer, symbol.name, "")
            case ast.InstanceSymbol() if symbol.isModule:
                for connection in symbol.portConnections:
                    expression = connection.expression
                    if expression is not None and connection.port.direction is ast.ArgumentDirection.In:
                        found += _pin(expression, connection.port.name, symbol.definition.name)
    return tuple(found)


def _pin(node: ast.Expression, name: str, module: str) -> Iterator[Pin]:
    inverted = False
    while True:
        node = _bare(node)
        if not (isinstance(node, ast.UnaryExpression) and node.op in _NEGATIONS):
            break
        node, inverted = node.operand, not inverted
    part = _part(node)
    if part is not None:
        yield Pin(part[1], name, inverted, module)
    elif isinstance(node, ast.NamedValueExpression) and len(values_in(node)) == 1:
        yield Pin(node.symbol.name, name, inverted, module)


def _bare(node: ast.Expression) -> ast.Expression:
    while isinstance(node, ast.ConversionExpression):
        node = node.operand
    return node
