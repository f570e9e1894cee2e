"""Every place at which the checked outputs depend on a constant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pyslang import ast

from verify.errors import Place
from verify.timescale.bounds import largest
from verify.timescale.constants import Constants
from verify.timescale.locating import Locator
from verify.timescale.terms import Key, Term
from verify.timescale.wiring import Unit, Wiring

__all__ = ["Comparison", "Room", "Site", "scan"]

_OPERATOR = ast.BinaryOperator

_SAME: dict[ast.BinaryOperator, str] = {
    _OPERATOR.Equality: "==",
    _OPERATOR.CaseEquality: "==",
    _OPERATOR.WildcardEquality: "==",
    _OPERATOR.Inequality: "!=",
    _OPERATOR.CaseInequality: "!=",
    _OPERATOR.WildcardInequality: "!=",
}
_ORDER: dict[ast.BinaryOperator, str] = {
    _OPERATOR.GreaterThan: ">",
    _OPERATOR.GreaterThanEqual: ">=",
    _OPERATOR.LessThan: "<",
    _OPERATOR.LessThanEqual: "<=",
}
_MIRRORED = {">": "<", ">=": "<=", "<": ">", "<=": ">="}


@dataclass(frozen=True, slots=True)
class Room:
    """The bits that a constant is put into."""

    name: str
    width: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """``name OPERATOR constant``, where ``name`` is at most ``largest``; ``width``: its own bits."""

    name: str
    operator: str
    largest: int
    width: int


@dataclass(frozen=True, slots=True)
class Site:
    """A constant expression in use, as large as it gets.

    ``comparison``, ``room``: what with or where to, if it is that simple. ``bits``: its own width.
    """

    key: Key
    place: Place | None
    text: str
    term: Term
    comparison: Comparison | None = None
    room: Room | None = None
    bits: int = 0

    @property
    def is_condition(self) -> bool:
        """The constant is a single bit: it switches something on or off."""
        return self.bits == 1


def scan(units: list[Unit], constants: Constants, wiring: Wiring, locator: Locator) -> list[Site]:
    """The constants that ``units`` use; those inside of larger constants are part of those."""
    scanner = _Scanner(constants, wiring, locator)
    sites: dict[Key, Site] = {}
    for unit in units:
        for site in scanner.of_unit(unit):
            kept = sites.get(site.key)
            if kept is None or (kept.comparison is None and kept.room is None):
                sites[site.key] = site
    return list(sites.values())


class _Scanner:
    def __init__(self, constants: Constants, wiring: Wiring, locator: Locator) -> None:
        self._constants, self._wiring, self._locate = constants, wiring, locator
        self._path = ""
        self._called: set[ast.Symbol] = set()
        self._found: list[Site] = []

    def of_unit(self, unit: Unit) -> list[Site]:
        self._path, self._called = unit.path, set()
        if isinstance(unit.node, ast.Expression):
            if isinstance(unit.node, ast.AssignmentExpression):
                return []  # an output of an instance
            width = unit.node.type.bitWidth if unit.type is None else unit.type.bitWidth
            names = ", ".join(sorted(target.name for target in unit.targets))
            return list(self._expression(unit.node, Room(names, width)))
        return self._statements(unit.node)

    def _statements(self, node: ast.Symbol) -> list[Site]:
        outer, self._found = self._found, []
        node.visit(self._visit)
        found, self._found = self._found, outer
        return found

    def _visit(self, part: object) -> ast.VisitAction:
        # A method: a function that passes itself on would be a reference cycle (see `wiring`).
        if isinstance(part, ast.CaseStatement):
            self._found += list(self._case(part))
        elif isinstance(part, ast.TimedStatement):
            part.stmt.visit(self._visit)
            return ast.VisitAction.Skip
        elif isinstance(part, ast.Expression):
            self._found += list(self._expression(part, None))
            return ast.VisitAction.Skip
        return ast.VisitAction.Advance

    def _case(self, statement: ast.CaseStatement) -> Iterator[Site]:
        for item in statement.items:
            for value in item.expressions:
                yield from self._compared(statement.expr, "==", value)

    # --- expressions, from the outside in ------------------------------------------------------

    def _expression(self, e: ast.Expression, room: Room | None) -> Iterator[Site]:
        term = self._constants.term(e)
        if term is not None:
            yield self._site(e, term, room=room)
        elif isinstance(e, ast.AssignmentExpression):
            target = Room(self._locate.text(e.left), e.left.type.bitWidth)
            yield from self._expression(e.right, target)
        elif isinstance(e, ast.ConversionExpression):
            narrower = room is not None and e.type.isIntegral and e.type.bitWidth < room.width
            inner = Room(room.name, e.type.bitWidth) if room is not None and narrower else room
            yield from self._expression(e.operand, inner)
        elif isinstance(e, ast.ConditionalExpression):
            for condition in e.conditions:
                yield from self._expression(condition.expr, None)
            yield from self._expression(e.left, room)
            yield from self._expression(e.right, room)
        elif isinstance(e, ast.CallExpression):
            yield from self._call(e)
        else:
            yield from self._operands(e)

    def _operands(self, e: ast.Expression) -> Iterator[Site]:
        if isinstance(e, ast.BinaryExpression) and (operator := _SAME.get(e.op) or _ORDER.get(e.op)):
            yield from self._compared(e.left, operator, e.right)
        elif isinstance(e, ast.InsideExpression):
            for item in e.rangeList:
                yield from self._compared(e.left, "==", item)
        else:
            for part in self._parts(e):
                yield from self._expression(part, None)

    def _compared(self, left: ast.Expression, operator: str, right: ast.Expression) -> Iterator[Site]:
        if isinstance(right, ast.ValueRangeExpression):
            yield from self._compared(left, ">=", right.left)
            yield from self._compared(left, "<=", right.right)
            return
        first, second = self._constants.term(left), self._constants.term(right)
        if first is None and second is not None:
            yield self._site(right, second, comparison=self._comparison(left, operator))
        elif first is not None and second is None:
            mirrored = _MIRRORED.get(operator, operator)
            yield self._site(left, first, comparison=self._comparison(right, mirrored))
        for side, term in ((left, first), (right, second)):
            if term is None:
                yield from self._expression(side, None)

    def _comparison(self, other: ast.Expression, operator: str) -> Comparison:
        bound = largest(other, self._constants, self._wiring)
        inner = other
        while isinstance(inner, ast.ConversionExpression) and inner.isImplicit:
            inner = inner.operand
        return Comparison(self._locate.text(inner), operator, bound, bound.bit_length())

    def _call(self, e: ast.CallExpression) -> Iterator[Site]:
        if e.isSystemCall and not e.type.isIntegral:
            return  # prints something
        for argument in e.arguments:
            yield from self._expression(argument, None)
        subroutine = e.subroutine
        if isinstance(subroutine, ast.SubroutineSymbol) and subroutine not in self._called:
            self._called.add(subroutine)
            yield from self._statements(subroutine)

    def _site(
        self,
        e: ast.Expression,
        term: Term,
        *,
        comparison: Comparison | None = None,
        room: Room | None = None,
    ) -> Site:
        bits = e.type.bitWidth if e.type.isIntegral else 0
        return Site(
            self._locate.key(self._path, e),
            self._locate.place(e),
            self._locate.text(e),
            term,
            comparison,
            room,
            bits,
        )

    def _parts(self, e: ast.Expression) -> list[ast.Expression]:
        """The operands that a value is made of, without the constants that say which bits are meant."""
        parts: list[ast.Expression] = []
        if isinstance(e, ast.BinaryExpression):
            parts = [e.left, e.right]
        elif isinstance(e, ast.UnaryExpression):
            parts = [e.operand]
        elif isinstance(e, ast.ConcatenationExpression):
            parts = list(e.operands)
        elif isinstance(e, ast.ReplicationExpression):
            parts = [e.concat]
        elif isinstance(e, (ast.RangeSelectExpression, ast.MemberAccessExpression)):
            parts = [e.value]
        elif isinstance(e, ast.ElementSelectExpression):
            moving = self._constants.term(e.selector) is None
            parts = [e.value, e.selector] if moving else [e.value]
        return parts
