"""The largest value that an expression can have, from the widths of what it is made of."""

from __future__ import annotations

from pyslang import ast

from verify.timescale.constants import Constants
from verify.timescale.wiring import Wiring

__all__ = ["largest"]

_OPERATOR = ast.BinaryOperator
_DEEPEST = 40
"""Copies of copies followed; a loop of them ends here."""


def largest(expression: ast.Expression, constants: Constants, wiring: Wiring, depth: int = 0) -> int:
    """An upper bound of the value; nothing is assumed about what a register is assigned."""
    limit = _of_type(expression.type)
    term = constants.term(expression)
    if term is not None:
        return int(term.value)
    if depth > _DEEPEST:
        return limit
    return max(0, min(limit, _bound(expression, constants, wiring, depth + 1, limit)))


def _of_type(kind: ast.Type) -> int:
    if not kind.isIntegral:
        return 1 << 64
    return (1 << (kind.bitWidth - kind.isSigned)) - 1


def _bound(e: ast.Expression, constants: Constants, wiring: Wiring, depth: int, limit: int) -> int:
    def of(inner: ast.Expression) -> int:
        return largest(inner, constants, wiring, depth)

    bound = limit
    if isinstance(e, (ast.NamedValueExpression, ast.HierarchicalValueExpression)):
        bound = _of_symbol(e.symbol, constants, wiring, depth, limit)
    elif isinstance(e, ast.ConversionExpression):
        bound = _converted(e.operand, e.type, of(e.operand), limit)
    elif isinstance(e, ast.CallExpression) and e.subroutineName in {"$signed", "$unsigned"}:
        bound = _converted(e.arguments[0], e.type, of(e.arguments[0]), limit)
    elif isinstance(e, ast.ConditionalExpression):
        bound = max(of(e.left), of(e.right))
    elif isinstance(e, ast.ConcatenationExpression):
        bound = 0
        for operand in e.operands:
            bits = operand.type.bitWidth
            bound = (bound << bits) + min(of(operand), (1 << bits) - 1)
    elif isinstance(e, ast.BinaryExpression) and not (e.left.type.isSigned and e.right.type.isSigned):
        bound = _calculated(e, constants, wiring, depth, limit)
    return bound


def _of_symbol(symbol: ast.Symbol, constants: Constants, wiring: Wiring, depth: int, limit: int) -> int:
    source = wiring.source_of(symbol)
    if isinstance(source, ast.Expression):
        return largest(source, constants, wiring, depth)
    if source is not None and depth <= _DEEPEST:
        return min(limit, _of_symbol(source, constants, wiring, depth + 1, _of_type(source.type)))  # type: ignore[attr-defined]
    return limit


def _converted(operand: ast.Expression, kind: ast.Type, inside: int, limit: int) -> int:
    """A negative operand may turn into anything, and so may one that is cut off."""
    if not operand.type.isIntegral:
        return limit
    negative = operand.type.isSigned and not kind.isSigned
    return limit if negative or inside > limit else inside


def _calculated(e: ast.BinaryExpression, constants: Constants, wiring: Wiring, depth: int, limit: int) -> int:
    left = largest(e.left, constants, wiring, depth)
    right = largest(e.right, constants, wiring, depth)
    known = constants.term(e.right)
    value = None if known is None else int(known.value)
    bound = limit
    match e.op:
        case _OPERATOR.Add:
            bound = left + right
        case _OPERATOR.Multiply:
            bound = left * right
        case _OPERATOR.BinaryAnd:
            bound = min(left, right)
        case _OPERATOR.BinaryOr | _OPERATOR.BinaryXor:
            bound = (1 << max(left.bit_length(), right.bit_length())) - 1
        case _OPERATOR.Divide if value:
            bound = left // value
        case _OPERATOR.Mod if value:
            bound = value - 1
        case _OPERATOR.LogicalShiftRight if value is not None:
            bound = left >> value
        case _OPERATOR.LogicalShiftLeft if value is not None and value <= limit.bit_length():
            bound = left << value
    return limit if bound > limit else bound
