"""What the code of a module says about its signals: what it waits for, asks and compares."""

from __future__ import annotations

from collections.abc import Iterator

from pyslang import ast

from verify.design.interface import Comparison, Guard
from verify.design.places import PlaceFinder
from verify.design.ports import integer_of
from verify.design.registers import events_of
from verify.design.walk import members, targets_of, values_in

__all__ = ["comparisons_of", "guards_of", "names_read"]

_B, _U = ast.BinaryOperator, ast.UnaryOperator
_NEGATIONS = {_U.LogicalNot, _U.BitwiseNot}
_EQUAL = {_B.Equality, _B.CaseEquality, _B.WildcardEquality}
_UNEQUAL = {_B.Inequality, _B.CaseInequality, _B.WildcardInequality}
_COMPARING = {
    **dict.fromkeys(_EQUAL, "=="),
    **dict.fromkeys(_UNEQUAL, "!="),
    _B.LessThan: "<",
    _B.LessThanEqual: "<=",
    _B.GreaterThan: ">",
    _B.GreaterThanEqual: ">=",
}


_ONCE = {ast.ProceduralBlockKind.Initial, ast.ProceduralBlockKind.Final}


def guards_of(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[Guard, ...]:
    """Every signal of one bit that an ``always`` block asks in an ``if``, in the order of the source."""
    return tuple(guard for block in _blocks(body) for guard in _asked(block, places))


def comparisons_of(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[Comparison, ...]:
    """Every comparison of one signal with a constant, in the order of the source."""
    found: list[Comparison] = []

    def note(node: object) -> None:
        if isinstance(node, ast.BinaryExpression) and node.op in _COMPARING:
            for one, other in ((node.left, node.right), (node.right, node.left)):
                symbols, constant = values_in(one), _constant(other)
                variables = [s for s in symbols if isinstance(s, (ast.VariableSymbol, ast.NetSymbol))]
                if constant is not None and len(variables) == 1:
                    place = places.place(node.sourceRange.start)
                    if place is not None:
                        sure = not values_in(other)
                        operator = _COMPARING[node.op]
                        found.append(Comparison(variables[0].name, operator, constant, place, literal=sure))
                    break

    for symbol in members(body):
        if isinstance(symbol, (ast.ProceduralBlockSymbol, ast.ContinuousAssignSymbol, ast.SubroutineSymbol)):
            symbol.visit(note)
        elif isinstance(symbol, ast.NetSymbol) and symbol.initializer is not None:
            symbol.initializer.visit(note)
    return tuple(found)


def names_read(body: ast.InstanceBodySymbol) -> frozenset[str]:
    """The names of the signals that stand anywhere in a module's code or connections."""
    found: set[str] = set()

    def note(node: object) -> None:
        if isinstance(node, ast.NamedValueExpression):
            found.add(node.symbol.name)

    for symbol in members(body):
        if isinstance(symbol, ast.InstanceSymbol):
            for connection in symbol.portConnections:
                if connection.expression is not None:
                    connection.expression.visit(note)
        elif isinstance(symbol, ast.PrimitiveInstanceSymbol):
            for expression in symbol.portConnections:
                if expression is not None:
                    expression.visit(note)
        elif isinstance(symbol, ast.NetSymbol):
            if symbol.initializer is not None:
                symbol.initializer.visit(note)
        else:
            symbol.visit(note)
    return frozenset(found)


def _constant(node: ast.Expression) -> int | None:
    if node.constant is not None:
        return integer_of(node.constant)
    if isinstance(node, ast.ConversionExpression):
        return _constant(node.operand)
    if isinstance(node, ast.NamedValueExpression) and isinstance(node.symbol, ast.ParameterSymbol):
        return integer_of(node.symbol.value)
    if isinstance(node, ast.BinaryExpression):
        left, right = _constant(node.left), _constant(node.right)
        if left is None or right is None:
            return None
        if node.op is _B.Add:
            return left + right
        if node.op is _B.Subtract:
            return left - right
        if node.op is _B.Multiply:
            return left * right
        if node.op is _B.Divide and right:
            return left // right
    return None


def _blocks(body: ast.InstanceBodySymbol) -> Iterator[ast.ProceduralBlockSymbol]:
    for symbol in members(body):
        if isinstance(symbol, ast.ProceduralBlockSymbol) and symbol.procedureKind not in _ONCE:
            yield symbol


def _asked(block: ast.ProceduralBlockSymbol, places: PlaceFinder) -> Iterator[Guard]:
    waited = {name for name, _ in events_of(block)}
    clocked = bool(waited)

    def walk(node: object, first: bool) -> Iterator[Guard]:
        if isinstance(node, ast.TimedStatement):
            yield from walk(node.stmt, first)
        elif isinstance(node, ast.BlockStatement):
            yield from walk(node.body, first)
        elif isinstance(node, ast.StatementList):
            for index, statement in enumerate(node.list):
                yield from walk(statement, first and index == 0)
        elif isinstance(node, ast.ConditionalStatement):
            for condition in node.conditions:
                for name, level, alone in _levels(condition.expr):
                    place = places.place(node.sourceRange.start)
                    if place is not None:
                        kind = _kind_of(node.ifTrue)
                        sets = _sets(node.ifTrue)
                        first = first and clocked
                        yield Guard(
                            name,
                            level,
                            kind,
                            place,
                            first and alone,
                            name in waited,
                            alone,
                            sets,
                            _turns(node.ifTrue),
                            _steps(node.ifTrue),
                        )
            yield from walk(node.ifTrue, False)
            if node.ifFalse is not None:
                yield from walk(node.ifFalse, False)
        elif isinstance(node, ast.CaseStatement):
            for item in node.items:
                yield from walk(item.stmt, False)
            if node.defaultCase is not None:
                yield from walk(node.defaultCase, False)

    yield from walk(block.body, True)


def _levels(node: ast.Expression) -> list[tuple[str, int, bool]]:
    """The signals of one bit in a condition, the level asked for, and whether it is all that is asked."""
    single = _level(node, 1)
    if single is not None:
        return [(*single, True)]
    if isinstance(node, ast.ConversionExpression):
        return _levels(node.operand)
    if isinstance(node, ast.BinaryExpression) and node.op in {
        _B.LogicalAnd,
        _B.BinaryAnd,
        _B.LogicalOr,
        _B.BinaryOr,
    }:
        return [(n, v, False) for side in (node.left, node.right) for n, v, _ in _levels(side)]
    return []


def _level(node: ast.Expression, wanted: int) -> tuple[str, int] | None:
    if isinstance(node, ast.ConversionExpression):
        return _level(node.operand, wanted)
    if isinstance(node, ast.NamedValueExpression):
        symbol = node.symbol
        bit = isinstance(symbol, (ast.VariableSymbol, ast.NetSymbol)) and symbol.type.bitWidth == 1
        return (symbol.name, wanted) if bit else None
    if isinstance(node, ast.ElementSelectExpression) and isinstance(node.value, ast.NamedValueExpression):
        index = None if node.selector.constant is None else integer_of(node.selector.constant)
        return None if index is None else (f"{node.value.symbol.name}[{index}]", wanted)
    if isinstance(node, ast.UnaryExpression) and node.op in _NEGATIONS:
        return _level(node.operand, 1 - wanted)
    if isinstance(node, ast.BinaryExpression) and node.op in _EQUAL | _UNEQUAL:
        for one, other in ((node.left, node.right), (node.right, node.left)):
            constant = _constant(other)
            if constant in (0, 1):
                equal = node.op in _EQUAL
                return _level(one, wanted if (constant == 1) == equal else 1 - wanted)
    return None


def _sets(statement: ast.Statement) -> tuple[tuple[str, int], ...]:
    found: dict[str, int] = {}

    def note(node: object) -> None:
        if isinstance(node, ast.AssignmentExpression):
            constant = _constant(node.right)
            if constant is not None and isinstance(node.left, ast.NamedValueExpression):
                found[node.left.symbol.name] = constant
            elif constant == 0:
                found.update((symbol.name, 0) for symbol in targets_of(node.left))

    statement.visit(note)
    return tuple(found.items())


def _turns(statement: ast.Statement) -> tuple[str, ...]:
    """What is assigned its own opposite: ``run <= ~run``, or ``if (run) run <= 0; else run <= 1;``."""
    found: list[str] = []

    def note(node: object) -> None:
        if isinstance(node, ast.ConditionalStatement) and node.ifFalse is not None:
            asked = [_level(condition.expr, 1) for condition in node.conditions]
            for name, level in [one for one in asked if one is not None]:
                if (name, 1 - level) in _sets(node.ifTrue) and (name, level) in _sets(node.ifFalse):
                    found.append(name)
        if isinstance(node, ast.AssignmentExpression) and isinstance(node.left, ast.NamedValueExpression):
            own = _level(node.right, 1)
            if own == (node.left.symbol.name, 0):
                found.append(own[0])

    statement.visit(note)
    return tuple(found)


def _steps(statement: ast.Statement) -> tuple[str, ...]:
    """What is assigned something of its own: ``count <= count + 1``."""
    found: dict[str, None] = {}

    def note(node: object) -> None:
        if isinstance(node, ast.AssignmentExpression):
            own = set(targets_of(node.left)).intersection(values_in(node.right))
            found.update((symbol.name, None) for symbol in own)
        elif isinstance(node, ast.UnaryExpression) and "crement" in node.op.name:
            found.update((symbol.name, None) for symbol in values_in(node.operand))

    statement.visit(note)
    return tuple(found)


def _kind_of(statement: ast.Statement) -> str:
    """What a branch does: ``constant`` (sets literals), ``copy`` (of other signals), ``step``."""
    constant = copy = True
    some = False

    def note(node: object) -> None:
        nonlocal constant, copy, some
        if isinstance(node, ast.AssignmentExpression):
            some = True
            read = [s for s in values_in(node.right) if not isinstance(s, ast.ParameterSymbol)]
            own = set(targets_of(node.left))
            constant &= not read
            copy &= bool(read) and not own.intersection(read)
        elif isinstance(node, ast.UnaryExpression) and "crement" in node.op.name:
            some, constant, copy = True, False, False

    statement.visit(note)
    return "nothing" if not some else "constant" if constant else "copy" if copy else "step"
