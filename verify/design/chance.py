"""Presets by chance that last: what nothing else sets is not the unknown contents of a register."""

from __future__ import annotations

from collections.abc import Iterator

from pyslang import ast

from verify.design.system_names import PRINTS, RANDOM
from verify.design.walk import assignments, members, targets_of

__all__ = ["ONCE", "lasting_chance"]

ONCE = (ast.ProceduralBlockKind.Initial, ast.ProceduralBlockKind.Final)


def lasting_chance(body: ast.InstanceBodySymbol) -> Iterator[ast.CallExpression]:
    """The calls in initial blocks that decide about more than the first value of something set elsewhere."""
    blocks = [s for s in members(body) if isinstance(s, ast.ProceduralBlockSymbol)]
    calls = [call for block in blocks if block.procedureKind in ONCE for call in _calls(block)]
    if not calls:
        return
    set_again = {
        target.hierarchicalPath
        for assignment in assignments(body)
        if assignment.block is None or assignment.block.procedureKind not in ONCE
        for target in assignment.targets
    }
    harmless: set[int] = set()

    def note(node: object) -> None:
        if isinstance(node, ast.AssignmentExpression):
            targets = [target.hierarchicalPath for target in targets_of(node.left)]
            if targets and set_again.issuperset(targets):
                harmless.update(_start(call) for call in _calls(node.right))

    for block in blocks:
        block.visit(note)
    yield from (call for call in calls if _start(call) not in harmless)


def _calls(root: ast.ProceduralBlockSymbol | ast.Expression) -> list[ast.CallExpression]:
    """Those whose value is used: what is only printed does not count."""
    found: list[ast.CallExpression] = []

    def note(node: object) -> ast.VisitAction:
        if isinstance(node, ast.CallExpression) and node.isSystemCall:
            if node.subroutineName in RANDOM:
                found.append(node)
            elif node.subroutineName in PRINTS:
                return ast.VisitAction.Skip
        return ast.VisitAction.Advance

    root.visit(note)
    return found


def _start(call: ast.CallExpression) -> int:
    return call.sourceRange.start.offset
