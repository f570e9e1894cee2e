"""Evaluate constants of an elaborated design, keeping track of what the clock parameter does to them.

Whatever always has one value counts as a constant: parameters, expressions over them, and nets,
variables and ports that are nothing but a copy of such an expression.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from pyslang import SVInt, ast

from verify.design.walk import members
from verify.timescale.form import Form
from verify.timescale.locating import Locator
from verify.timescale.opened import Elaborated
from verify.timescale.terms import Step, Term, fits, joined, wrapped
from verify.timescale.wiring import Wiring

__all__ = ["Constants"]

_OPERATOR = ast.BinaryOperator
_SHIFTS = {
    _OPERATOR.LogicalShiftRight: _OPERATOR.Divide,
    _OPERATOR.ArithmeticShiftRight: _OPERATOR.Divide,
    _OPERATOR.LogicalShiftLeft: _OPERATOR.Multiply,
    _OPERATOR.ArithmeticShiftLeft: _OPERATOR.Multiply,
}
"""What a shift by a number that is known comes to."""

_EXACT: dict[ast.BinaryOperator, Callable[[Any, Any], Any]] = {
    _OPERATOR.Add: operator.add,
    _OPERATOR.Subtract: operator.sub,
    _OPERATOR.Multiply: operator.mul,
}
"""What is calculated alike with values and with forms."""

_SAME_VALUE = {"$signed", "$unsigned", "$itor", "$rtoi"}
_WIDEST_SHIFT = 256


class Constants:
    """Terms of the expressions of one elaboration; ``natives``: clock parameter -> its native value."""

    def __init__(
        self, elaborated: Elaborated, wiring: Wiring, locator: Locator, natives: Mapping[str, int]
    ) -> None:
        self._context = elaborated.context
        self._wiring = wiring
        self._locate = locator
        self._clocks = {
            symbol: Form.of({1: Fraction(natives[symbol.name])})
            for symbol in elaborated.body.parameters
            if isinstance(symbol, ast.ParameterSymbol) and symbol.name in natives
        }
        self._overrides = dict(_defparams(elaborated.body))
        self._known: dict[ast.Symbol, Term | None] = {}
        self._where = [elaborated.body.hierarchicalPath]

    @property
    def clock_parameters(self) -> tuple[ast.Symbol, ...]:
        """The clock parameters of the top."""
        return tuple(self._clocks)

    # --- symbols -----------------------------------------------------------------------------

    def of_symbol(self, symbol: ast.Symbol) -> Term | None:
        """The constant that a parameter, net or variable is, None when it is none."""
        if symbol not in self._known:
            self._known[symbol] = None  # a symbol that depends on itself is no constant
            self._where.append(symbol.hierarchicalPath)
            self._known[symbol] = self._symbol(symbol)
            self._where.pop()
        return self._known[symbol]

    def _symbol(self, symbol: ast.Symbol) -> Term | None:
        if isinstance(symbol, (ast.ParameterSymbol, ast.EnumValueSymbol)):
            return self._parameter(symbol)
        if isinstance(symbol, (ast.NetSymbol, ast.VariableSymbol)):
            source = self._wiring.source_of(symbol)
            if source is None:
                return None
            term = self.of_symbol(source) if isinstance(source, ast.Symbol) else self.term(source)
            if term is None or not symbol.type.isIntegral or isinstance(source, ast.Symbol):
                return term
            return self._converted(term, symbol.type, source)
        return None

    def _parameter(self, symbol: ast.ParameterSymbol | ast.EnumValueSymbol) -> Term | None:
        value = _number(symbol.value)
        if value is None:
            return None
        if isinstance(symbol, ast.ParameterSymbol) and symbol in self._clocks:
            return Term(value, self._clocks[symbol], tainted=True)
        override = self._overrides.get(symbol)
        initializer = override if override is not None else symbol.initializer
        term = None if initializer is None else self.term(initializer)
        if term is None or initializer is None:
            return Term(value, Form.constant(value), origins=(symbol,))
        if override is not None and symbol.type.isIntegral:
            term = self._converted(term, symbol.type, initializer)
        return joined(value, term.form, term, Term(value, None, origins=(symbol,)))

    # --- expressions -------------------------------------------------------------------------

    def term(self, expression: ast.Expression) -> Term | None:
        """The constant that an expression is; None when it is none, or has unknown bits."""
        ways: dict[type, Callable[[Any], Term | None]] = {
            ast.AssignmentExpression: lambda _: None,
            ast.BinaryExpression: self._binary,
            ast.CallExpression: self._call,
            ast.ConcatenationExpression: self._concatenation,
            ast.ConditionalExpression: self._conditional,
            ast.ConversionExpression: self._conversion,
            ast.ElementSelectExpression: lambda e: self._plain(e, e.value, e.selector),
            ast.HierarchicalValueExpression: lambda e: self.of_symbol(e.symbol),
            ast.MinTypMaxExpression: lambda e: self.term(e.selected),
            ast.NamedValueExpression: lambda e: self.of_symbol(e.symbol),
            ast.RangeSelectExpression: self._range,
            ast.ReplicationExpression: lambda e: self._plain(e, e.count, e.concat),
            ast.UnaryExpression: self._unary,
        }
        return ways.get(type(expression), self._plain)(expression)

    def _conversion(self, expression: ast.ConversionExpression) -> Term | None:
        operand = self.term(expression.operand)
        return operand and self._converted(operand, expression.type, expression)

    def _plain(self, expression: ast.Expression, *operands: ast.Expression) -> Term | None:
        """The value as the reader calculates it; its form is known only without the clock."""
        parts = [self.term(operand) for operand in operands]
        if any(part is None for part in parts):
            return None
        value = _number(expression.eval(self._context))
        return None if value is None else joined(value, None, *(part for part in parts if part))

    def _conditional(self, expression: ast.ConditionalExpression) -> Term | None:
        condition = self.term(expression.conditions[0].expr)
        if condition is None:
            return None
        taken = self.term(expression.left if condition.value else expression.right)
        return taken and joined(taken.value, taken.form, condition, taken)

    def _concatenation(self, expression: ast.ConcatenationExpression) -> Term | None:
        term = self._plain(expression, *expression.operands)
        last = self.term(expression.operands[-1]) if term and expression.operands else None
        if term is None or last is None or term.value != last.value:
            return term
        return joined(term.value, last.form, term)  # padded with zeros

    def _range(self, expression: ast.RangeSelectExpression) -> Term | None:
        term = self._plain(expression, expression.value, expression.left, expression.right)
        whole, low = self.term(expression.value), self.term(expression.right)
        if term is None or whole is None or low is None or not isinstance(whole.value, int):
            return term
        simple = expression.selectionKind == ast.RangeSelectionKind.Simple
        if not simple or low.value != 0 or whole.value < 0:
            return term
        return self._converted(whole, expression.type, expression, selected=True)

    def _call(self, expression: ast.CallExpression) -> Term | None:
        arguments = expression.arguments
        if expression.isSystemCall and expression.subroutineName in _SAME_VALUE:
            term = self.term(arguments[0])
            return term and self._converted(term, expression.type, expression)
        term = self._plain(expression, *arguments)
        subroutine = expression.subroutine
        if term is None or not isinstance(subroutine, ast.SubroutineSymbol):
            return term
        used = self._used_in(subroutine)
        return joined(term.value, None, term, *used)

    def _used_in(self, subroutine: ast.SubroutineSymbol) -> list[Term]:
        """The parameters that a function reads by itself."""
        found: list[Term] = []

        def note(node: object) -> None:
            if isinstance(node, ast.NamedValueExpression) and isinstance(node.symbol, ast.ParameterSymbol):
                term = self.of_symbol(node.symbol)
                if term is not None:
                    found.append(term)

        subroutine.visit(note)
        return found

    def _unary(self, expression: ast.UnaryExpression) -> Term | None:
        operand = self.term(expression.operand)
        if operand is None:
            return None
        if expression.op == ast.UnaryOperator.Plus:
            return operand
        if expression.op == ast.UnaryOperator.Minus:
            form = None if operand.form is None else -operand.form
            return self._result(expression, -operand.value, form, operand)
        if expression.op == ast.UnaryOperator.LogicalNot:
            return joined(int(not operand.value), None, operand)
        return self._plain(expression, expression.operand)

    # --- calculations ------------------------------------------------------------------------

    def _binary(self, expression: ast.BinaryExpression) -> Term | None:
        left, right = self.term(expression.left), self.term(expression.right)
        if left is None or right is None:
            return None
        op = expression.op
        if op in _SHIFTS and 0 <= right.value <= _WIDEST_SHIFT and left.value >= 0 and not right.tainted:
            power = 1 << int(right.value)
            right = replace(right, value=power, form=Form.constant(power))
            op = _SHIFTS[op]
        if op == _OPERATOR.Divide:
            return self._divided(expression, left, right)
        if op not in _EXACT:
            return self._plain(expression, expression.left, expression.right)
        known = left.form is not None and right.form is not None
        form = _EXACT[op](left.form, right.form) if known else None
        return self._result(expression, _EXACT[op](left.value, right.value), form, left, right)

    def _divided(self, expression: ast.BinaryExpression, left: Term, right: Term) -> Term | None:
        a, b = left.value, right.value
        if b == 0:
            return None
        form = None if left.form is None or right.form is None else left.form.over(right.form)
        if isinstance(a, float) or isinstance(b, float):
            return joined(a / b, form, left, right)
        quotient = abs(a) // abs(b) * (-1 if (a < 0) != (b < 0) else 1)
        term = joined(quotient, form, left, right)
        if not term.tainted:
            return term
        return term.with_step(
            self._step("divide", expression, a, quotient, form=form, remainder=a - quotient * b)
        )

    def _result(
        self, expression: ast.Expression, exact: int | float, form: Form | None, *parts: Term
    ) -> Term:
        """A sum, difference or product in the bits that the expression has."""
        if isinstance(exact, float) or not expression.type.isIntegral:
            return joined(exact, form, *parts)
        value = wrapped(exact, expression.type)
        term = joined(value, form, *parts)
        if value == exact or not term.tainted:
            return term
        return term.with_step(self._step("overflow", expression, exact, value))

    def _converted(
        self, term: Term, kind: ast.Type, expression: ast.Expression, *, selected: bool = False
    ) -> Term:
        if not kind.isIntegral:
            return joined(float(term.value), term.form, term) if kind.isFloating else term
        value = term.value
        if isinstance(value, float):
            rounded = int(value) if "$rtoi" in str(expression.syntax) else _rounded(value)
            whole = joined(wrapped(rounded, kind), term.form, term)
            if not term.tainted:
                return whole
            return whole.with_step(self._step("divide", expression, int(value), rounded, form=term.form))
        after = joined(wrapped(value, kind), term.form, term)
        if fits(value, kind) or value < 0 or not term.tainted:
            return after
        step = self._step("truncate", expression, value, wrapped(value, kind), selected=selected)
        return after.with_step(replace(step, width=kind.bitWidth))

    def _step(
        self,
        kind: str,
        expression: ast.Expression,
        before: int,
        after: int,
        *,
        form: Form | None = None,
        remainder: int = 0,
        selected: bool = False,
    ) -> Step:
        locate = self._locate
        return Step(
            kind,  # type: ignore[arg-type]
            locate.key(self._where[-1], expression),
            locate.place(expression),
            locate.text(expression),
            before,
            after,
            expression.type.bitWidth,
            form,
            selected,
            remainder,
        )


def _number(value: object) -> int | float | None:
    """The number in a constant of the reader; None for unknown bits and for what is no number."""
    found = getattr(value, "value", None)
    if isinstance(found, SVInt):
        return None if found.hasUnknown else int(found)
    return found if isinstance(found, (int, float)) and not isinstance(found, bool) else None


def _rounded(value: float) -> int:
    """Half away from zero, as IEEE 1800-2017 section 6.12.1 converts a real."""
    return int(value + 0.5) if value >= 0 else int(value - 0.5)


def _defparams(body: ast.InstanceBodySymbol) -> list[tuple[ast.Symbol, ast.Expression]]:
    """Parameters that a defparam statement sets, and what to."""
    found: list[tuple[ast.Symbol, ast.Expression]] = []
    for symbol in members(body):
        if isinstance(symbol, ast.DefParamSymbol) and symbol.target is not None:
            found.append((symbol.target, symbol.initializer))
        elif isinstance(symbol, ast.InstanceSymbol) and symbol.isModule:
            found += _defparams(symbol.body)
    return found
