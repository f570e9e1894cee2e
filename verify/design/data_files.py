"""The files that a design reads its memories from."""

from __future__ import annotations

from pyslang import ast

from verify.design.interface import DataFile
from verify.design.objections import text_of
from verify.design.places import PlaceFinder
from verify.design.ports import place_of
from verify.design.system_names import LOADS
from verify.design.walk import children

__all__ = ["data_files_of"]


def data_files_of(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[DataFile, ...]:
    """What a module and those below it name as files, each place once."""
    found: dict[DataFile, None] = {}
    _gather(body, places, found)
    return tuple(found)


def _gather(body: ast.InstanceBodySymbol, places: PlaceFinder, found: dict[DataFile, None]) -> None:
    def call(node: ast.CallExpression) -> ast.VisitAction:
        if node.isSystemCall and node.subroutineName in LOADS and node.arguments:
            name = text_of(node.arguments[0], body)
            if name:
                place = place_of(places, node.sourceRange.start)
                found[DataFile(name, node.subroutineName, place)] = None
        return ast.VisitAction.Advance

    def pass_by(node: ast.Symbol) -> ast.VisitAction:
        skip = isinstance(node, ast.InstanceSymbol) or getattr(node, "isUninstantiated", False)
        return ast.VisitAction.Skip if skip else ast.VisitAction.Advance

    body.visit(
        lookup_table={
            ast.ExpressionKind.Call: call,
            ast.SymbolKind.Instance: pass_by,
            ast.SymbolKind.GenerateBlock: pass_by,
        }
    )
    for child in children(body):
        _gather(child.body, places, found)
