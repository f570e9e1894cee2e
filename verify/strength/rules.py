"""The changes that are tried on each piece of Verilog: faults that people make."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from pyslang import parsing, syntax

__all__ = ["Change", "changes_of"]

_Kind = syntax.SyntaxKind

_OPERATORS = {
    "+": ("-",), "-": ("+",), "*": ("+",), "/": ("*",), "%": ("/",),
    "&": ("|",), "|": ("&",), "^": ("|",), "~^": ("^",), "^~": ("^",), "&&": ("||",), "||": ("&&",),
    "<<": (">>",), ">>": ("<<",), "<<<": (">>>",), ">>>": (">>",),
}  # fmt: skip
_COMPARISONS = {
    "==": ("!=",), "!=": ("==",), "===": ("!==",), "!==": ("===",),
    "<": ("<=", ">="), "<=": ("<", ">"), ">": (">=", "<="), ">=": (">", "<"),
}  # fmt: skip
_UNARY = {"!": "", "~": "", "-": "", "&": "|", "|": "&", "^": "&", "~&": "~|", "~|": "~&"}
_ASSIGNMENTS = (_Kind.AssignmentExpression, _Kind.NonblockingAssignmentExpression)
_NUMBER = re.compile(r"(?P<size>\d*)\s*'(?P<sign>[sS]?)(?P<base>[bBoOdDhH])\s*(?P<digits>[0-9a-fA-F_]+)$")
_BASES = {"b": (2, "b"), "o": (8, "o"), "d": (10, "d"), "h": (16, "x")}


@dataclass(frozen=True, slots=True)
class Change:
    """Replace the source of ``node`` (or from it to ``last``) by ``text``."""

    kind: str
    node: Any
    text: str
    last: Any = None


def changes_of(node: Any, above: tuple[Any, ...]) -> Iterator[Change]:
    """The changes of this node itself; ``above``: the nodes around it, outermost first."""
    rules = _RULES.get(type(node))
    if rules is not None:
        yield from rules(node, above)


def _code(node: Any) -> str:
    """The words of a node, without comments."""
    if isinstance(node, parsing.Token):
        return str(node.rawText)
    return " ".join(filter(None, map(_code, node)))


def _binary(node: Any, above: tuple[Any, ...]) -> Iterator[Change]:
    token = node.operatorToken
    if node.kind in _ASSIGNMENTS:
        if above and isinstance(above[-1], syntax.ExpressionStatementSyntax):
            yield Change("blocking", token, "=" if token.rawText == "<=" else "<=")
        return
    for text in _OPERATORS.get(token.rawText, ()):
        yield Change("operator", token, text)
    for text in _COMPARISONS.get(token.rawText, ()):
        yield Change("comparison", token, text)


def _unary(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    token = node.operatorToken
    if token.rawText in _UNARY:
        yield Change("operator", token, _UNARY[token.rawText])


def _literal(node: Any, above: tuple[Any, ...]) -> Iterator[Change]:
    text = node.literal.rawText.replace("_", "")
    if node.kind is not _Kind.IntegerLiteralExpression or not text.isdigit():
        return
    value = int(text)
    if any(isinstance(outer, syntax.VariableDimensionSyntax) for outer in above):
        if value > 1 and _is_first_bound(node, above) and not _is_port(above):
            yield Change("width", node, str(value - 1))
        return
    yield Change("constant", node, str(value + 1))
    if value > 0:
        yield Change("constant", node, str(value - 1))


def _is_first_bound(node: Any, above: tuple[Any, ...]) -> bool:
    return isinstance(above[-1], syntax.RangeSelectSyntax) and above[-1].left is node


def _is_port(above: tuple[Any, ...]) -> bool:
    ports = (syntax.PortDeclarationSyntax, syntax.ImplicitAnsiPortSyntax)
    return any(isinstance(outer, ports) for outer in above)


def _vector(node: Any, above: tuple[Any, ...]) -> Iterator[Change]:
    match = _NUMBER.match(_code(node).replace(" ", ""))
    if match is None or any(isinstance(outer, syntax.VariableDimensionSyntax) for outer in above):
        return
    base, letter = _BASES[match["base"].lower()]
    try:
        value = int(match["digits"].replace("_", ""), base)
    except ValueError:
        return
    size = int(match["size"]) if match["size"] else 32
    for other in (value + 1, value - 1):
        if 0 <= other < 1 << size:
            yield Change("constant", node, f"{match['size']}'{match['sign']}{match['base']}{other:{letter}}")


def _condition(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    predicate = node.predicate
    yield Change("condition", predicate, f"!({_code(predicate)})")
    yield Change("branch", predicate, "1'b0")
    yield Change("branch", predicate, "1'b1")


def _choice(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    yield Change("condition", node.predicate, f"(!({_code(node.predicate)}))")
    yield Change("branch", node, f"({_code(node.left)})")
    yield Change("branch", node, f"({_code(node.right)})")


def _case_item(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    yield Change("branch", node, "")


def _statement(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    if node.expr.kind in _ASSIGNMENTS:
        yield Change("statement", node, ";")


def _edge(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    word = node.edge.rawText
    if word in {"posedge", "negedge"}:
        yield Change("edge", node.edge, "negedge" if word == "posedge" else "posedge")


def _events(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    yield Change("event", node, _code(node.left))
    yield Change("event", node, _code(node.right))


def _concatenation(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    yield from _swaps([part for part in node.expressions if not isinstance(part, parsing.Token)], "bits")


def _instance(node: Any, _: tuple[Any, ...]) -> Iterator[Change]:
    named = [c for c in node.connections if isinstance(c, syntax.NamedPortConnectionSyntax) and c.expr]
    ordered = [c for c in node.connections if isinstance(c, syntax.OrderedPortConnectionSyntax)]
    yield from _swaps([connection.expr for connection in named] or ordered, "ports")


def _swaps(parts: list[Any], kind: str) -> Iterator[Change]:
    for first, second in pairwise(parts):
        if _code(first) != _code(second):
            yield Change(kind, first, f"{_code(second)}, {_code(first)}" if kind == "bits" else "", second)


_RULES: dict[type, Any] = {
    syntax.BinaryEventExpressionSyntax: _events,
    syntax.BinaryExpressionSyntax: _binary,
    syntax.ConcatenationExpressionSyntax: _concatenation,
    syntax.ConditionalExpressionSyntax: _choice,
    syntax.ConditionalStatementSyntax: _condition,
    syntax.DefaultCaseItemSyntax: _case_item,
    syntax.ExpressionStatementSyntax: _statement,
    syntax.HierarchicalInstanceSyntax: _instance,
    syntax.IntegerVectorExpressionSyntax: _vector,
    syntax.LiteralExpressionSyntax: _literal,
    syntax.PrefixUnaryExpressionSyntax: _unary,
    syntax.SignalEventExpressionSyntax: _edge,
    syntax.StandardCaseItemSyntax: _case_item,
}
