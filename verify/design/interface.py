"""What is written in the source files, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from verify.errors import Place

__all__ = ["Design", "Module", "Parameter", "Port", "UnsafeConstruct"]


@dataclass(frozen=True, slots=True)
class Port:
    """A port of an elaborated module.

    ``width`` in bits. ``left`` and ``right`` are the declared bounds of the packed range
    (``[7:0]`` -> 7, 0; ``[0:6]`` -> 0, 6; a scalar -> 0, 0); the right bound is the least
    significant bit. ``drivers``: where the port is assigned, nearest statement first.
    """

    name: str
    direction: Literal["input", "output", "inout"]
    width: int
    left: int
    right: int
    place: Place
    drivers: tuple[Place, ...] = ()

    def offset(self, index: int) -> int:
        """Distance of the bit with declared ``index`` from the least significant bit.

        Raises IndexError when the index is outside the declared range.
        """
        low, high = sorted((self.left, self.right))
        if not low <= index <= high:
            raise IndexError(f"{self.name}[{index}] is outside [{self.left}:{self.right}]")
        return abs(index - self.right)


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter of a module: ``value`` as elaborated, None when it is not an integer."""

    name: str
    value: int | None
    place: Place
    local: bool = False
    text: str = ""
    """The value or default as written."""


@dataclass(frozen=True, slots=True)
class UnsafeConstruct:
    """Something no synthesisable design needs: ``what`` names it (``$system``, ``force`` ...)."""

    what: str
    place: Place


@dataclass(frozen=True, slots=True)
class Module:
    """A module as elaborated with one set of parameter values.

    ``instances``: instance name -> module name, direct children only.
    """

    name: str
    place: Place
    ports: tuple[Port, ...]
    parameters: tuple[Parameter, ...]
    instances: Mapping[str, str] = field(default_factory=dict)
    unsafe: tuple[UnsafeConstruct, ...] = ()

    def port(self, name: str) -> Port | None:
        """The port with that name."""
        return next((port for port in self.ports if port.name == name), None)


@dataclass(frozen=True, slots=True)
class Design:
    """All modules of a set of files. ``tops``: those that nothing instantiates."""

    sources: tuple[Path, ...]
    modules: Mapping[str, Module]
    tops: tuple[str, ...]
