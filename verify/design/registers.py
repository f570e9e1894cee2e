"""The variables that a design assigns at a clock edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pyslang import ast

from verify.design.interface import Register
from verify.design.places import PlaceFinder
from verify.design.ports import place_of
from verify.design.walk import Assignment, assignments, children, name_below, targets_of, values_in

__all__ = ["events_of", "registers_of"]

Edge = Literal["rising", "falling", "both"]

_EDGES: dict[ast.EdgeKind, Edge] = {
    ast.EdgeKind.PosEdge: "rising",
    ast.EdgeKind.NegEdge: "falling",
    ast.EdgeKind.BothEdges: "both",
}


@dataclass(frozen=True, slots=True)
class _Event:
    name: str
    edge: Edge
    symbols: tuple[ast.Symbol, ...]


def registers_of(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[Register, ...]:
    """The registers of a module and of everything below it, by name."""
    found = {register.name: register for register in _own(body, places)}
    for instance in children(body):
        prefix = name_below(body, instance)
        nets = _nets(instance)
        for register in registers_of(instance.body, places):
            name = f"{prefix}.{register.name}"
            shifts = tuple(nets.get(source) or f"{prefix}.{source}" for source in register.shifts)
            reset = register.reset and (nets.get(register.reset) or f"{prefix}.{register.reset}")
            clock = nets.get(register.clock) or f"{prefix}.{register.clock}"
            found[name] = replace(register, name=name, clock=clock, reset=reset, shifts=shifts)
    return tuple(found.values())


def events_of(block: ast.ProceduralBlockSymbol) -> list[tuple[str, Edge]]:
    """The edges that a block waits for: expression as written, edge; empty for a combinational one."""
    return [(event.name, event.edge) for event in _events(block)]


def _nets(instance: ast.InstanceSymbol) -> dict[str, str]:
    """Input port of an instance -> the plain net, or the constant bit of one, connected to it."""
    nets = {}
    for connection in instance.portConnections:
        expression = connection.expression
        if isinstance(expression, ast.NamedValueExpression):
            nets[connection.port.name] = expression.symbol.name
        elif isinstance(expression, ast.ElementSelectExpression):
            whole, index = expression.value, expression.selector.constant
            if isinstance(whole, ast.NamedValueExpression) and index is not None:
                nets[connection.port.name] = f"{whole.symbol.name}[{index}]"
    return nets


def _own(body: ast.InstanceBodySymbol, places: PlaceFinder) -> Iterator[Register]:
    events: dict[ast.ProceduralBlockSymbol, list[_Event]] = {}
    counters: dict[ast.ProceduralBlockSymbol, set[ast.Symbol]] = {}
    seen = set()
    every = assignments(body)
    taken = _taken(every)
    for assignment in every:
        block = assignment.block
        if block is None:
            continue
        if block not in events:
            events[block] = _events(block)
            counters[block] = _loop_counters(block)
        if not events[block]:
            continue
        clock, reset = _roles(block, events[block])
        for target in assignment.targets:
            if target in seen or target in counters[block] or not isinstance(target, ast.VariableSymbol):
                continue
            seen.add(target)
            yield Register(
                name_below(body, target),
                target.type.bitstreamWidth,
                place_of(places, assignment.location),
                clock.name,
                clock.edge,
                None if reset is None else reset.name,
                None if reset is None else reset.edge,
                tuple(source.name for source in taken[target]) if len(taken[target]) == 1 else (),
            )


def _loop_counters(block: ast.ProceduralBlockSymbol) -> set[ast.Symbol]:
    """The variables that its `for` statements count with: they hold nothing from one edge to the next."""
    found: set[ast.Symbol] = set()

    def note(node: object) -> None:
        if isinstance(node, ast.ForLoopStatement):
            for expression in node.initializers:
                found.update(targets_of(expression))

    block.body.visit(note)
    return found


def _taken(every: list[Assignment]) -> dict[ast.Symbol, set[ast.Symbol]]:
    """Each variable with all that procedures assign to it, but for what the same statement assigns."""
    taken: dict[ast.Symbol, set[ast.Symbol]] = {}
    for assignment in every:
        if assignment.block is not None:
            for target in assignment.targets:
                taken.setdefault(target, set()).update(set(assignment.sources) - set(assignment.targets))
    return taken


def _events(block: ast.ProceduralBlockSymbol) -> list[_Event]:
    """The edges a block waits for; empty for a combinational one."""
    body = block.body
    while isinstance(body, ast.BlockStatement) and isinstance(body.body, ast.TimedStatement):
        body = body.body
    if not isinstance(body, ast.TimedStatement):
        return []
    timing = body.timing
    controls = timing.events if isinstance(timing, ast.EventListControl) else [timing]
    return [
        _Event(str(control.expr.syntax).strip(), _EDGES[control.edge], values_in(control.expr))
        for control in controls
        if isinstance(control, ast.SignalEventControl) and control.edge in _EDGES
    ]


def _roles(block: ast.ProceduralBlockSymbol, events: list[_Event]) -> tuple[_Event, _Event | None]:
    """The clock is the edge whose signal the block never reads (common practice, no source)."""
    if len(events) == 1:
        return events[0], None
    read = _read_in(block)
    clocks = [event for event in events if not read.intersection(event.symbols)] or events[:1]
    return clocks[0], next((event for event in events if event is not clocks[0]), None)


def _read_in(block: ast.ProceduralBlockSymbol) -> set[ast.Symbol]:
    body = block.body
    while isinstance(body, ast.BlockStatement) and isinstance(body.body, ast.TimedStatement):
        body = body.body
    inner = body.stmt if isinstance(body, ast.TimedStatement) else body
    found: set[ast.Symbol] = set()

    def note(node: object) -> None:
        if isinstance(node, ast.NamedValueExpression):
            found.add(node.symbol)

    inner.visit(note)
    return found
