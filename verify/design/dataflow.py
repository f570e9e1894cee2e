"""Which bits an expression depends on, bit by bit, and which bits an assignment changes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from pyslang import ast

from verify.design.ports import integer_of

__all__ = ["Bit", "Deps", "Graph", "Target", "bits_of", "followed", "targets", "width_of"]

Bit = tuple[ast.Symbol, int]
"""A bit of a variable or net, counted from the least significant."""

Node = Bit | int
"""A bit, or a number that stands for a set of bits."""

Deps = tuple[Node, ...]
"""What one bit depends on."""

Lookup = Callable[[ast.Symbol, int, bool], Sequence[Deps]]
"""Symbol, width, whether it is read under a variable index -> what its bits stand for."""

_FEW = 4

_WIDEST = 4096
"""Variables of more bits are taken for memories: nothing is followed through them."""

_O = ast.BinaryOperator
_BITWISE = {_O.BinaryAnd, _O.BinaryOr, _O.BinaryXor, _O.BinaryXnor}
_RIPPLING = {_O.Add, _O.Subtract, _O.Multiply}
_SELECTIONS = (ast.ElementSelectExpression, ast.RangeSelectExpression)
_LEFT = {_O.LogicalShiftLeft, _O.ArithmeticShiftLeft}
_RIGHT = {_O.LogicalShiftRight, _O.ArithmeticShiftRight}


@dataclass(slots=True)
class Graph:
    """Node -> the nodes that it depends on, in an order that is the same on every run."""

    edges: dict[Node, dict[Node, None]] = field(default_factory=dict)

    def add(self, node: Node, deps: Iterable[Node]) -> None:
        """``node`` depends on ``deps``."""
        self.edges.setdefault(node, {}).update(dict.fromkeys(deps))

    def joined(self, *groups: Deps) -> Deps:
        """All of the groups, as few nodes."""
        union = tuple(dict.fromkeys(node for group in groups for node in group))
        if len(union) <= _FEW:
            return union
        node = len(self.edges)
        self.edges[node] = dict.fromkeys(union)
        return (node,)


@dataclass(frozen=True, slots=True)
class Target:
    """A bit that is assigned. ``sure`` False: perhaps this one, depending on ``index``."""

    bit: Bit
    sure: bool = True
    index: Deps = ()


def width_of(expression: ast.Expression | ast.ValueSymbol) -> int:
    """Bits in all, elements of arrays included; 0 for what has none."""
    return int(expression.type.bitstreamWidth)


def followed(node: ast.Expression | ast.ValueSymbol) -> int:
    """Bits to follow: none of something very wide."""
    width = width_of(node)
    return width if width <= _WIDEST else 0


def _own(symbol: ast.Symbol, width: int, _: bool) -> list[Deps]:
    return [((symbol, bit),) for bit in range(width)]


def bits_of(graph: Graph, expression: ast.Expression, lookup: Lookup = _own) -> list[Deps]:
    """What each bit of an expression depends on, least significant first."""
    return _Reader(graph, lookup).bits(expression)


class _Reader:
    def __init__(self, graph: Graph, lookup: Lookup) -> None:
        self._graph, self._lookup = graph, lookup

    def bits(self, node: ast.Expression) -> list[Deps]:
        width = followed(node)
        found = self._precise(node, width)
        if found is None:
            return [self._everything(node)] * width
        return (list(found) + [()] * width)[:width]

    def _everything(self, node: ast.Expression) -> Deps:
        """All that is read in an expression, each constant selection for its own bits only."""
        found: list[Deps] = []
        variable = isinstance(node, _SELECTIONS)
        inside = False

        def note(part: object) -> ast.VisitAction:
            nonlocal inside
            if isinstance(part, (ast.NamedValueExpression, ast.HierarchicalValueExpression)):
                found.extend(self._values([part.symbol], variable=variable))
                return ast.VisitAction.Skip
            if isinstance(part, _SELECTIONS) and inside:
                found.extend(self.bits(part))
                return ast.VisitAction.Skip
            inside = True
            return ast.VisitAction.Advance

        node.visit(note)
        return self._graph.joined(*found)

    def _values(self, symbols: Iterable[ast.Symbol], *, variable: bool) -> Iterator[Deps]:
        for symbol in symbols:
            if isinstance(symbol, (ast.VariableSymbol, ast.NetSymbol)):
                yield from self._lookup(symbol, followed(symbol), variable)

    def _precise(  # noqa: PLR0911 -- one case per kind of expression
        self, node: ast.Expression, width: int
    ) -> Sequence[Deps] | None:
        """Bit by bit; None when every bit depends on everything."""
        match node:
            case ast.NamedValueExpression() | ast.HierarchicalValueExpression():
                return list(self._values([node.symbol], variable=False))
            case ast.ElementSelectExpression() | ast.RangeSelectExpression():
                place = _selected(node)
                return None if place is None else self.bits(node.value)[place : place + width]
            case ast.ConcatenationExpression():
                return [bit for operand in reversed(node.operands) for bit in self.bits(operand)]
            case ast.ReplicationExpression():
                part = self.bits(node.concat)
                return part * (width // len(part)) if part else []
            case ast.ConversionExpression():
                return self._resized(node.operand, width)
            case ast.ConditionalExpression():
                condition = self._graph.joined(*(b for c in node.conditions for b in self.bits(c.expr)))
                pairs = zip(self.bits(node.left), self.bits(node.right), strict=False)
                return [self._graph.joined(condition, *pair) for pair in pairs]
            case ast.UnaryExpression() if node.op in {ast.UnaryOperator.BitwiseNot, ast.UnaryOperator.Plus}:
                return self.bits(node.operand)
            case ast.BinaryExpression():
                return self._binary(node, width)
            case ast.CallExpression() if node.isSystemCall and len(node.arguments) == 1:
                return self.bits(node.arguments[0]) if width_of(node.arguments[0]) == width else None
        return None

    def _resized(self, operand: ast.Expression, width: int) -> Sequence[Deps] | None:
        if not operand.type.isIntegral:
            return None
        bits = self.bits(operand)
        if operand.type.isSigned and bits:
            bits = bits + [bits[-1]] * (width - len(bits))
        return bits

    def _binary(self, node: ast.BinaryExpression, width: int) -> Sequence[Deps] | None:
        join = self._graph.joined
        if node.op in _BITWISE:
            return [join(*pair) for pair in zip(self.bits(node.left), self.bits(node.right), strict=False)]
        if node.op in _RIPPLING:
            found: list[Deps] = []
            below: Deps = ()
            for pair in zip(self.bits(node.left), self.bits(node.right), strict=False):
                below = join(below, *pair)
                found.append(below)
            return found
        count = None if node.right.constant is None else integer_of(node.right.constant)
        if count is None or count < 0:
            return None
        left = self.bits(node.left)
        if node.op in _LEFT:
            return ([()] * min(count, width) + left)[:width]
        if node.op in _RIGHT:
            signed = node.op is _O.ArithmeticShiftRight and node.type.isSigned and bool(left)
            return left[count:] + ([left[-1]] if signed else [()]) * min(count, width)
        return None


def _selected(node: ast.ElementSelectExpression | ast.RangeSelectExpression) -> int | None:
    """Where a selection starts, in bits from the least significant of the whole; None: not constant."""
    kind = node.value.type.canonicalType
    if not kind.hasFixedRange:
        return None
    bounds = kind.fixedRange
    element = width_of(node.value) // bounds.width
    if isinstance(node, ast.ElementSelectExpression):
        ends = [node.selector.constant]
    elif node.selectionKind is ast.RangeSelectionKind.Simple:
        ends = [node.left.constant, node.right.constant]
    else:
        ends = [node.left.constant]
    places = [None if end is None else _offset(integer_of(end), bounds.left, bounds.right) for end in ends]
    known = [place for place in places if place is not None]
    if len(known) < len(places):
        return None
    start = min(known) * element
    if isinstance(node, ast.RangeSelectExpression) and _reaches_down(node, bounds.left >= bounds.right):
        start -= width_of(node) - element
    fits = start >= 0 and start + width_of(node) <= width_of(node.value)
    return start if fits else None


def _reaches_down(node: ast.RangeSelectExpression, descending: bool) -> bool:
    """Whether an indexed selection runs from its start towards the least significant bit."""
    down = ast.RangeSelectionKind.IndexedDown if descending else ast.RangeSelectionKind.IndexedUp
    return node.selectionKind is down


def _offset(index: int | None, left: int, right: int) -> int | None:
    if index is None or index < min(left, right) or index > max(left, right):
        return None
    return index - right if left >= right else right - index


def targets(  # noqa: PLR0911 -- one case per kind of expression
    graph: Graph, node: ast.Expression, lookup: Lookup = _own
) -> list[list[Target]]:
    """The bits that an assignment to ``node`` changes, least significant first.

    Each is a list: one bit, or all those among which a variable index chooses.
    """
    match node:
        case ast.NamedValueExpression() | ast.HierarchicalValueExpression():
            return [[Target((node.symbol, bit))] for bit in range(followed(node))]
        case ast.ConcatenationExpression():
            return [bit for operand in reversed(node.operands) for bit in targets(graph, operand, lookup)]
        case ast.ElementSelectExpression() | ast.RangeSelectExpression():
            whole = targets(graph, node.value, lookup)
            place = _selected(node)
            if place is not None:
                return whole[place : place + width_of(node)]
            index = node.selector if isinstance(node, ast.ElementSelectExpression) else node.left
            deps = graph.joined(*bits_of(graph, index, lookup))
            anyone = [Target(target.bit, sure=False, index=deps) for bit in whole for target in bit]
            return [anyone] * followed(node)
        case ast.AssignmentExpression():
            return targets(graph, node.left, lookup)
        case ast.ConversionExpression():
            return targets(graph, node.operand, lookup)
    return []
