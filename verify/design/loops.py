"""Combinational loops."""

from __future__ import annotations

from pyslang import ast

from verify.design.interface import UnsafeConstruct
from verify.design.places import PlaceFinder

__all__ = ["loops_in"]


def loops_in(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[UnsafeConstruct, ...]:
    """The combinational loops through continuous assignments and combinational blocks."""
    return ()
