"""Port references: from what stands in a bench to the wires of a module."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from verify.bench.numbers import NumberError, evaluate
from verify.bench.places import KeyPath, Places
from verify.bench.resolved import PortRef, Slice
from verify.bench.schema import PortTable, References
from verify.bench.spelling import listed, nearest
from verify.design.interface import Module, Port
from verify.errors import BenchError

__all__ = ["Wires", "reference", "references"]

_NAMED = re.compile(r"\s*(?P<name>[A-Za-z_][\w$]*)\s*(\[(?P<left>[^\]:]+)(:(?P<right>[^\]:]+))?\])?\s*")


@dataclass(frozen=True, slots=True)
class Wires:
    """Where references are looked up: the ports of ``module``, indices at its ``numbers``."""

    module: Module
    places: Places
    numbers: Mapping[str, int | None] = field(default_factory=dict)

    def error(self, path: KeyPath, key: str, message: str, advice: str | None = None) -> BenchError:
        """An error at a key; ``key`` names it in words."""
        return BenchError(f"{key}: {message}", place=self.places.of(*path), advice=advice)


def references(
    wires: Wires,
    found: References,
    path: KeyPath,
    key: str,
    direction: Literal["input", "output"],
    *,
    many: bool,
) -> tuple[PortRef, ...]:
    """The references bound to a role: one, or as many as the list has when the role takes ``many``.

    Raises :class:`verify.errors.BenchError` for a port that is not there or has another direction,
    and for an index outside its range.
    """
    if many and isinstance(found, tuple):
        return tuple(
            reference(wires, part, (*path, index), f"{key}[{index}]", direction)
            for index, part in enumerate(found)
        )
    return (reference(wires, found, path, key, direction),)


def reference(
    wires: Wires, found: References, path: KeyPath, key: str, direction: Literal["input", "output"]
) -> PortRef:
    """One reference; a list is joined, least significant first."""
    if isinstance(found, str):
        return PortRef((_slice(wires, found, path, key, direction),))
    if isinstance(found, PortTable):
        inner = reference(wires, found.port, (*path, "port"), key, direction)
        return PortRef(inner.slices, inner.inverted != (found.active == "low"))
    if not found:
        raise wires.error(path, key, "found an empty list, expected at least one port")
    parts = [
        reference(wires, part, (*path, index), f"{key}[{index}]", direction)
        for index, part in enumerate(found)
    ]
    if len({part.inverted for part in parts}) > 1:
        advice = 'write { port = [ ... ], active = "low" } for the whole list'
        raise wires.error(path, key, "found active-high and active-low ports in one list", advice)
    return PortRef(tuple(piece for part in parts for piece in part.slices), parts[0].inverted)


def _slice(wires: Wires, text: str, path: KeyPath, key: str, direction: Literal["input", "output"]) -> Slice:
    whole = wires.module.port(text.strip().removeprefix("\\"))  # an escaped name may hold anything
    match = _NAMED.fullmatch(text)
    if match is None and whole is None:
        expected = 'a port, a bit or a slice, such as "key", "key[3]" or "bus[11:4]"'
        raise wires.error(path, key, f'found "{text}", expected {expected}')
    name = text if match is None else match["name"]
    port = whole or wires.module.port(name)
    if port is None:
        raise _no_such_port(wires, name, path, key, direction)
    if port.direction != direction:
        raise _wrong_direction(wires, port, path, key, direction)
    if match is None or port is whole or match["left"] is None:
        return Slice(port.name, 0, port.width)
    left = _index(wires, match["left"], path, key)
    right = left if match["right"] is None else _index(wires, match["right"], path, key)
    try:
        high, low = port.offset(left), port.offset(right)
    except IndexError:
        declared = (
            f"{port.name}[{port.left}:{port.right}]" if port.width > 1 else f"the single bit {port.name}"
        )
        raise wires.error(path, key, f'found "{text}", which is outside {declared}') from None
    if high < low:
        turned = f"{port.name}[{right}:{left}]"
        message = f'found "{text}", but {port.name} is declared [{port.left}:{port.right}]'
        raise wires.error(path, key, message, f'write "{turned}"')
    return Slice(port.name, low, high - low + 1)


def _index(wires: Wires, text: str, path: KeyPath, key: str) -> int:
    try:
        return evaluate(text, wires.numbers)
    except NumberError as error:
        raise wires.error(path, key, error.message, error.advice) from None


def _no_such_port(wires: Wires, name: str, path: KeyPath, key: str, direction: str) -> BenchError:
    ports = wires.module.ports
    fitting = [port.name for port in ports if port.direction == direction]
    message = f'module {wires.module.name} has no port "{name}"; its {direction}s are {listed(fitting)}'
    return wires.error(path, key, message, nearest(name, [port.name for port in ports]))


def _wrong_direction(wires: Wires, port: Port, path: KeyPath, key: str, direction: str) -> BenchError:
    fitting = [other.name for other in wires.module.ports if other.direction == direction]
    article = "an" if direction[0] in "aeiou" else "a"
    message = (
        f"found the {port.direction} {port.name}, expected {article} {direction} of module "
        f"{wires.module.name}: {listed(fitting)}"
    )
    return wires.error(path, key, message)
