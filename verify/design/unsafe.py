"""Constructs that no synthesisable design needs and that reach outside the design."""

from __future__ import annotations

import re

from pyslang import ast

from verify.design.interface import UnsafeConstruct
from verify.design.places import PlaceFinder
from verify.design.ports import place_of
from verify.design.walk import children

__all__ = ["unsafe_in"]

_SYSTEM = re.compile(
    r"\$(system|fopen|fclose|f?flush|fscanf|sscanf|fread|fgets|fgetc|ungetc|fseek|ftell|rewind|ferror|feof|"
    r"fwrite[bho]?|fdisplay[bho]?|fstrobe[bho]?|fmonitor[bho]?|writemem[bh]|sreadmem[bh]|dump\w*|"
    r"value\$plusargs|test\$plusargs|finish|stop|exit|fatal|save|restart|reset|incsave|input|key|nokey|log|nolog|"
    r"scope|showscopes|showvars|list)"
)
"""System tasks that open files, run commands, read the command line or end the simulation."""


def unsafe_in(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[UnsafeConstruct, ...]:
    """What is found in a module and everything below it, each place once."""
    found: dict[UnsafeConstruct, None] = {}
    _collect(body, body.hierarchicalPath, places, found)
    return tuple(found)


def _collect(
    body: ast.InstanceBodySymbol, top: str, places: PlaceFinder, found: dict[UnsafeConstruct, None]
) -> None:
    def note(node: object) -> object:
        if isinstance(node, ast.InstanceSymbol) and node.isModule:
            for connection in node.portConnections:
                if connection.expression is not None:
                    connection.expression.visit(note)
            return ast.VisitAction.Skip
        if isinstance(node, ast.GenerateBlockSymbol) and node.isUninstantiated:
            return ast.VisitAction.Skip
        what = _what(node, top)
        if what is not None:
            location = node.location if isinstance(node, ast.Symbol) else node.sourceRange.start  # type: ignore[attr-defined]
            found[UnsafeConstruct(what, place_of(places, location))] = None
        return ast.VisitAction.Advance

    body.visit(note)
    for instance in children(body):
        _collect(instance.body, top, places, found)


def _what(node: object, top: str) -> str | None:
    """The name of the construct, None for a harmless one."""
    match node:
        case ast.CallExpression() if node.isSystemCall and _SYSTEM.fullmatch(node.subroutineName):
            return node.subroutineName
        case ast.ProceduralAssignStatement() if node.isForce:
            return "force"
        case ast.SubroutineSymbol() if ast.MethodFlags.DPIImport in node.flags:
            return f"DPI import {node.name}"
        case ast.HierarchicalValueExpression() if not _below(node.symbol.hierarchicalPath, top):
            return f"hierarchical reference {str(node.syntax).strip()} out of the module"
        case ast.ProceduralBlockSymbol() if node.procedureKind is ast.ProceduralBlockKind.Final:
            return "final block"
    return None


def _below(path: str, top: str) -> bool:
    return path.startswith(top + ".")
