"""Ports and parameters of an elaborated module."""

from __future__ import annotations

from typing import Literal

import pyslang
from pyslang import ast

from verify.design.interface import Parameter, Port
from verify.design.places import PlaceFinder
from verify.errors import DesignError, Place

__all__ = ["integer_of", "parameters_of", "port_of", "ports_of"]

_DIRECTIONS: dict[ast.ArgumentDirection, Literal["input", "output", "inout"]] = {
    ast.ArgumentDirection.In: "input",
    ast.ArgumentDirection.Out: "output",
    ast.ArgumentDirection.InOut: "inout",
}


def ports_of(body: ast.InstanceBodySymbol, places: PlaceFinder) -> list[tuple[Port, ast.Symbol]]:
    """Every port with its symbol, in order, without drivers.

    Raises DesignError for a port that has no fixed number of bits: an unpacked array, an interface,
    a real number.
    """
    return [(port_of(body, symbol, places), symbol) for symbol in body.portList if not _is_null(symbol)]


def _is_null(symbol: ast.Symbol) -> bool:
    return isinstance(symbol, (ast.PortSymbol, ast.MultiPortSymbol)) and symbol.isNullPort


def port_of(body: ast.InstanceBodySymbol, symbol: ast.Symbol, places: PlaceFinder) -> Port:
    """One port, without drivers."""
    place = place_of(places, symbol.location)
    name = symbol.name or "(unnamed)"
    if not isinstance(symbol, (ast.PortSymbol, ast.MultiPortSymbol)):
        raise _unusable(body, name, "an interface", place)
    if not symbol.name:
        raise _unusable(body, name, "a list of signals without a name of its own", place)
    direction = _DIRECTIONS.get(symbol.direction)
    if direction is None:
        raise _unusable(body, name, "passed by reference", place)
    kind = symbol.type.canonicalType
    if not kind.isIntegral:
        what = "an unpacked array" if kind.isUnpackedArray else f"of type {symbol.type}"
        raise _unusable(body, name, what, place)
    width = kind.bitWidth
    left, right = width - 1, 0
    if isinstance(kind, (ast.PackedArrayType, ast.PredefinedIntegerType)) and kind.fixedRange.width == width:
        left, right = kind.fixedRange.left, kind.fixedRange.right
    return Port(symbol.name, direction, width, left, right, place)


def _unusable(body: ast.InstanceBodySymbol, name: str, what: str, place: Place) -> DesignError:
    return DesignError(
        f"port {name!r} of module {body.definition.name!r} is {what}; a port to be checked is a "
        "bit or a packed vector",
        place=place,
        advice="check the modules inside, or wrap this one in a module with plain vector ports",
    )


def place_of(places: PlaceFinder, location: pyslang.SourceLocation) -> Place:
    """The place; declarations always stand in a file."""
    found = places.place(location)
    return found if found is not None else Place(places.file(location))


def parameters_of(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[Parameter, ...]:
    """Parameters and local parameters with their elaborated values.

    Raises DesignError for one that has no value.
    """
    for symbol in body.parameters:
        if isinstance(symbol, ast.ParameterSymbol) and symbol.initializer is None and not symbol.isOverridden:
            raise DesignError(
                f"parameter {symbol.name!r} of module {body.definition.name!r} has no default value",
                place=place_of(places, symbol.location),
                advice=f"give it one, such as parameters = {{ {symbol.name} = 8 }} in the check",
            )
    return tuple(
        Parameter(
            symbol.name,
            None if _is_text(symbol) else integer_of(symbol.value),
            place_of(places, symbol.location),
            local=symbol.isLocalParam,
            text=_text(symbol),
        )
        for symbol in body.parameters
        if isinstance(symbol, ast.ParameterSymbol)
    )


def _initializer(symbol: ast.ParameterSymbol) -> ast.Expression | None:
    """The value as written, without the conversions that the compiler adds."""
    initializer: ast.Expression | None = symbol.initializer
    while isinstance(initializer, ast.ConversionExpression) and initializer.isImplicit:
        initializer = initializer.operand
    return initializer


def _text(symbol: ast.ParameterSymbol) -> str:
    initializer = _initializer(symbol)
    return "" if initializer is None else str(initializer.syntax).strip()


def _is_text(symbol: ast.ParameterSymbol) -> bool:
    """Whether the value is text: a string of IEEE 1364 is a number, but not one to calculate with."""
    return isinstance(_initializer(symbol), ast.StringLiteral)


def integer_of(value: pyslang.ConstantValue) -> int | None:
    """The integer, None for anything else and for one with unknown bits."""
    found = value.value
    if isinstance(found, pyslang.SVInt) and not found.hasUnknown:
        return int(found)
    return found if isinstance(found, int) else None
