"""Constructs that no synthesisable design needs and that reach outside the design."""

from __future__ import annotations

import re
from typing import Any

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

_KINDS = (
    ast.ExpressionKind.Call,
    ast.ExpressionKind.HierarchicalValue,
    ast.StatementKind.ProceduralAssign,
    ast.SymbolKind.Subroutine,
    ast.SymbolKind.ProceduralBlock,
)
_PASSED_BY = (ast.SymbolKind.Instance, ast.SymbolKind.GenerateBlock)


def unsafe_in(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[UnsafeConstruct, ...]:
    """What is found in a module and everything below it, each place once."""
    found: dict[UnsafeConstruct, None] = {}
    _collect(body, body.hierarchicalPath, places, found)
    return tuple(found)


def _collect(
    body: ast.InstanceBodySymbol, top: str, places: PlaceFinder, found: dict[UnsafeConstruct, None]
) -> None:
    def note(node: Any) -> None:
        what = _what(node, top)
        if what is not None:
            location = node.location if isinstance(node, ast.Symbol) else node.sourceRange.start
            found[UnsafeConstruct(what, place_of(places, location))] = None

    def pass_by(node: Any) -> ast.VisitAction:
        skip = isinstance(node, ast.InstanceSymbol) or node.isUninstantiated
        return ast.VisitAction.Skip if skip else ast.VisitAction.Advance

    # Only these kinds come to Python, which is what makes it quick.
    handlers: dict[object, object] = {**dict.fromkeys(_KINDS, note), **dict.fromkeys(_PASSED_BY, pass_by)}
    body.visit(lookup_table=handlers)
    for instance in children(body):
        for connection in instance.portConnections:
            if connection.expression is not None:
                connection.expression.visit(lookup_table=handlers)
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
