"""Numbers of a bench: integers, or integer expressions over the parameters of a module."""

from __future__ import annotations

import ast
import operator
import re
import warnings
from collections.abc import Callable, Mapping

from verify.bench.spelling import listed, nearest

__all__ = ["NumberError", "evaluate", "is_literal", "literal_value"]

_LIMIT_BITS = 4096
_LIMIT_CHARACTERS = 500

_LITERAL = re.compile(
    r"(?P<size>\d[\d_]*)?\s*'\s*[sS]?(?P<base>[bBoOdDhH])\s*(?P<digits>[\dA-Fa-f][\dA-Fa-f_]*)"
)
_BASES = {"b": 2, "o": 8, "d": 10, "h": 16}


class NumberError(ValueError):
    """An expression that gives no integer; ``advice`` says what to write."""

    def __init__(self, message: str, advice: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.advice = advice


def is_literal(text: str) -> bool:
    """Whether ``text`` is a number as Verilog writes it (``12``, ``8'd12``, ``1.5``) or quoted text."""
    stripped = text.strip()
    return bool(
        _LITERAL.fullmatch(stripped)
        or re.fullmatch(r"[-+]?\d[\d_]*(\.\d[\d_]*)?([eE][-+]?\d+)?", stripped)
        or re.fullmatch(r'"[^"\n]*"', stripped)
    )


def literal_value(text: str) -> int | None:
    """The integer that a Verilog literal stands for, None for other text."""
    match = _LITERAL.fullmatch(text.strip())
    if match is None:
        return None
    try:
        value = int(match["digits"].replace("_", ""), _BASES[match["base"].lower()])
    except ValueError:
        return None
    size = match["size"]
    return value if size is None else value & ((1 << int(size.replace("_", ""))) - 1)


def evaluate(value: int | float | str, parameters: Mapping[str, int | None]) -> int:
    """The integer that ``value`` stands for.

    An expression may use ``+ - * // / % ** << >>``, parentheses, ``clog2()``, ``min()``, ``max()``,
    Verilog literals and the names in ``parameters`` (None: not an integer). ``/`` has to come out
    even. Raises :class:`NumberError`.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise NumberError("not a number", "write an integer, or an expression in quotes")
    if isinstance(value, float):
        return _whole(value)
    if isinstance(value, int):
        return value
    if len(value) > _LIMIT_CHARACTERS:
        raise NumberError(f"an expression of {len(value)} characters; the limit is {_LIMIT_CHARACTERS}")
    text = _LITERAL.sub(lambda match: str(_replaced(match[0])), value).replace("$clog2", "clog2")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Python's remarks on doubtful code are none of the user's
            tree = ast.parse(text.strip(), mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise NumberError(
            f'"{value}" is not an expression',
            'write one such as "CLK_HZ / 2", with + - * / // % ** << >> and parentheses',
        ) from None
    return _Evaluator(value, parameters).value(tree.body)


def _replaced(literal: str) -> int:
    value = literal_value(literal)
    if value is None:
        raise NumberError(f"{literal} is not a Verilog literal", "write one such as 8'd12 or 8'hFF")
    return value


def _whole(value: float) -> int:
    if not value.is_integer():
        raise NumberError(f"{value} is not a whole number")
    return int(value)


def _divide(left: int, right: int) -> int:
    if left % right:
        raise NumberError(
            f"{left} / {right} does not come out even", "write // to round down, or change the numbers"
        )
    return left // right


def _power(left: int, right: int) -> int:
    if right < 0:
        raise NumberError(f"{left} ** {right} is not a whole number")
    if abs(left).bit_length() * right > _LIMIT_BITS:
        raise NumberError(f"{left} ** {right} is too large")
    return int(left**right)


def _shift_left(left: int, right: int) -> int:
    if right < 0 or left.bit_length() + right > _LIMIT_BITS:
        raise NumberError(f"{left} << {right} is out of range")
    return left << right


def _shift_right(left: int, right: int) -> int:
    if right < 0:
        raise NumberError(f"{left} >> {right} is out of range")
    return left >> right


def _clog2(value: int) -> int:
    """As ``$clog2`` of IEEE 1364-2005 clause 17.11.1: bits needed to count to ``value`` - 1."""
    if value < 0:
        raise NumberError(f"clog2({value}) does not exist")
    return max(value - 1, 0).bit_length()


_BINARY: dict[type[ast.operator], Callable[[int, int], int]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.FloorDiv: operator.floordiv,
    ast.Div: _divide,
    ast.Mod: operator.mod,
    ast.Pow: _power,
    ast.LShift: _shift_left,
    ast.RShift: _shift_right,
}
_UNARY: dict[type[ast.unaryop], Callable[[int], int]] = {ast.UAdd: operator.pos, ast.USub: operator.neg}
_FUNCTIONS: dict[str, Callable[..., int]] = {"clog2": _clog2, "min": min, "max": max}


class _Evaluator:
    def __init__(self, text: str, parameters: Mapping[str, int | None]) -> None:
        self._text, self._parameters = text, parameters

    def value(self, node: ast.expr) -> int:
        result = self._value(node)
        if result.bit_length() > _LIMIT_BITS:
            raise NumberError(f'"{self._text}" gives a number that is too large')
        return result

    def _value(self, node: ast.expr) -> int:
        match node:
            case ast.Constant(value=bool()):
                pass
            case ast.Constant(value=int(number)):
                return number
            case ast.Constant(value=float(number)):
                return _whole(number)
            case ast.Name(id=name):
                return self._parameter(name)
            case ast.UnaryOp(op=op, operand=operand) if type(op) in _UNARY:
                return _UNARY[type(op)](self.value(operand))
            case ast.BinOp(left=left, op=op, right=right) if type(op) in _BINARY:
                return self._binary(op, self.value(left), self.value(right))
            case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if name in _FUNCTIONS:
                return self._call(name, [self.value(argument) for argument in arguments])
        found = ast.unparse(node)
        raise NumberError(
            f'"{self._text}": "{found}" is not allowed in an expression',
            "use integers, parameters, + - * / // % ** << >>, parentheses, clog2(), min() and max()",
        )

    def _parameter(self, name: str) -> int:
        if name not in self._parameters:
            raise NumberError(
                f'"{self._text}": there is no parameter "{name}"; the module has {listed(self._parameters)}',
                nearest(name, self._parameters),
            )
        value = self._parameters[name]
        if value is None:
            raise NumberError(f'"{self._text}": the parameter "{name}" is not an integer')
        return value

    def _binary(self, op: ast.operator, left: int, right: int) -> int:
        try:
            return _BINARY[type(op)](left, right)
        except ZeroDivisionError:
            raise NumberError(f'"{self._text}" divides by zero') from None

    def _call(self, name: str, arguments: list[int]) -> int:
        if not arguments or (name == "clog2" and len(arguments) != 1):
            raise NumberError(f'"{self._text}": {name}() takes {"one" if name == "clog2" else "some"} value')
        return _FUNCTIONS[name](*arguments) if len(arguments) > 1 or name == "clog2" else arguments[0]
