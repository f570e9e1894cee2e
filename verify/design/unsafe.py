"""Constructs that no synthesisable design needs and that reach outside the design or its clock.

System tasks are allowed by name, so that one nobody thought of is found, too.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pyslang import ast

from verify.design import system_names as names
from verify.design.chance import ONCE, lasting_chance
from verify.design.delays import LONGEST_DELAY_NS, context_of, delay_ns, unit_ns_of, waits_then_acts
from verify.design.interface import UnsafeConstruct
from verify.design.objections import Spot, objection
from verify.design.places import PlaceFinder
from verify.design.ports import place_of
from verify.design.walk import members
from verify.errors import Place

__all__ = ["system_task", "unsafe_around", "unsafe_in"]

_FORKS = (ast.StatementBlockKind.JoinAll, ast.StatementBlockKind.JoinAny, ast.StatementBlockKind.JoinNone)
_ALWAYS = ast.ProceduralBlockKind.Always


def unsafe_in(body: ast.InstanceBodySymbol, places: PlaceFinder) -> tuple[UnsafeConstruct, ...]:
    """What is found in a module and everything below it, each place once."""
    found: dict[UnsafeConstruct, None] = {}
    _Search(body, body.hierarchicalPath, places, found).all()
    return tuple(found)


def unsafe_around(
    body: ast.InstanceBodySymbol, compilation: ast.Compilation, places: PlaceFinder
) -> tuple[UnsafeConstruct, ...]:
    """What is found beside the modules: what packages preset, classes, functions that are for C to call.

    Other functions of packages are found by :func:`unsafe_in` where they are called.
    """
    found: dict[UnsafeConstruct, None] = {}
    search = _Search(body, body.hierarchicalPath, places, found)
    for scope in (*compilation.getPackages(), *compilation.getRoot().compilationUnits):
        if scope.name != "std":
            search.scope(scope)
    for export in compilation.getDPIExports():
        search.exported(export.subroutine)
    return tuple(found)


def system_task(name: str, why: str | None, place: Place) -> UnsafeConstruct:
    """The construct for a call of ``name``; ``why`` None: the usual reason."""
    return UnsafeConstruct(
        name, place, why or names.REASONS.get(name, "it reaches out of the design"), name.removeprefix("$")
    )


class _Search:
    """One module; those below it are searched in turn."""

    def __init__(
        self,
        body: ast.InstanceBodySymbol,
        top: str,
        places: PlaceFinder,
        found: dict[UnsafeConstruct, None],
        followed: set[str] | None = None,
    ) -> None:
        self._followed: set[str] = set() if followed is None else followed
        self._body, self._top, self._places, self._found = body, top, places, found
        self._unit_ns = unit_ns_of(body.definition.timeScale)
        self._context: ast.EvalContext | None = None

    def all(self) -> None:
        """Search the module, the connections of its instances, and what is below."""
        self._visit(self._body, Spot())
        for call in lasting_chance(self._body):
            why = "nothing else sets what it decides about, and no circuit behaves at random"
            place = place_of(self._places, call.sourceRange.start)
            self._found[system_task(call.subroutineName, why, place)] = None
        for instance in members(self._body):
            if not isinstance(instance, ast.InstanceSymbol):
                continue
            for connection in instance.portConnections:
                if connection.expression is not None:
                    self._visit(connection.expression, Spot())
            _Search(instance.body, self._top, self._places, self._found, self._followed).all()

    def scope(self, scope: ast.Scope) -> None:
        """Search a package, or what stands outside of everything; functions count where they are called."""
        elsewhere = (ast.InstanceSymbol, ast.PackageSymbol)
        for member in scope:
            imported = isinstance(member, ast.SubroutineSymbol) and ast.MethodFlags.DPIImport in member.flags
            if imported or not isinstance(member, (*elsewhere, ast.SubroutineSymbol)):
                self._visit(member, Spot())

    def _called(self, subroutine: Any) -> None:
        """Search a function that may stand outside of the module, once."""
        path = subroutine.lexicalPath
        if path not in self._followed and not path.startswith("std::"):
            self._followed.add(path)
            self._visit(subroutine, Spot())

    def exported(self, function: ast.SubroutineSymbol) -> None:
        """A function that code outside the design may call."""
        self._note(f"DPI export {function.name}", "code outside the design may call it", "dpi", function)

    def _visit(self, node: Any, spot: Spot) -> None:
        # Only these kinds come to Python, which is what makes it quick.
        node.visit(lookup_table=self._handlers(spot, node))

    def _handlers(self, spot: Spot, root: Any) -> dict[object, object]:  # noqa: C901 -- one each
        def below(node: Any, inner: Spot) -> ast.VisitAction:
            # A visit begins with the node it is called on, which must not send itself round again.
            if inner == spot or node is root:
                return ast.VisitAction.Advance
            self._visit(node, inner)
            return ast.VisitAction.Skip

        def pass_by(node: Any) -> ast.VisitAction:
            skip = isinstance(node, ast.InstanceSymbol) or node.isUninstantiated
            return ast.VisitAction.Skip if skip else ast.VisitAction.Advance

        def block(node: Any) -> ast.VisitAction:
            if node is not root:
                self._block(node)
            return below(node, replace(spot, once=node.procedureKind in ONCE))

        def call(node: Any) -> ast.VisitAction:
            if not node.isSystemCall:
                self._called(node.subroutine)
            elif node is not root:
                self._system_call(node, spot)
                if node.subroutineName in names.PRINTS:
                    return below(node, replace(spot, printed=True))
            return ast.VisitAction.Advance

        def guarded(node: Any) -> ast.VisitAction:
            return below(node, replace(spot, guarded=True))

        def plain(node: Any) -> ast.VisitAction:
            self._plain(node)
            return ast.VisitAction.Advance

        def delay(node: Any) -> ast.VisitAction:
            if not spot.once:  # those in blocks that run once have been looked at together
                self._delay(node)
            return ast.VisitAction.Advance

        return {
            ast.SymbolKind.Instance: pass_by,
            ast.SymbolKind.GenerateBlock: pass_by,
            ast.SymbolKind.ProceduralBlock: block,
            ast.ExpressionKind.Call: call,
            ast.StatementKind.Conditional: guarded,
            ast.StatementKind.Case: guarded,
            ast.StatementKind.ImmediateAssertion: guarded,
            ast.StatementKind.ConcurrentAssertion: guarded,
            ast.StatementKind.ProceduralAssign: plain,
            ast.StatementKind.ProceduralDeassign: plain,
            ast.StatementKind.Block: plain,
            ast.ExpressionKind.HierarchicalValue: plain,
            ast.SymbolKind.Subroutine: plain,
            ast.TimingControlKind.Delay: delay,
            ast.TimingControlKind.Delay3: delay,
        }

    def _note(self, what: str, why: str, word: str, node: Any) -> None:
        location = node.location if isinstance(node, ast.Symbol) else node.sourceRange.start
        self._found[UnsafeConstruct(what, place_of(self._places, location), why, word)] = None

    def _plain(self, node: object) -> None:
        """Constructs that are unsafe wherever they stand."""
        match node:
            case ast.ProceduralAssignStatement() if node.isForce:
                self._note("force", "it overrides what drives a net", "force", node)
            case ast.ProceduralDeassignStatement() if node.isRelease:
                self._note("release", "it overrides what drives a net", "force", node)
            case ast.SubroutineSymbol() if ast.MethodFlags.DPIImport in node.flags:
                self._note(f"DPI import {node.name}", "it calls code outside the design", "dpi", node)
            case ast.HierarchicalValueExpression() if not self._below(node.symbol.hierarchicalPath):
                what = f"hierarchical reference {str(node.syntax).strip()} out of the module"
                self._note(what, "it looks at what is around the design", "hierarchy", node)
            case ast.BlockStatement() if node.blockKind in _FORKS:
                self._note("fork", "it starts processes of the simulator", "fork", node)

    def _below(self, path: str) -> bool:
        return path.startswith(self._top + ".")

    def _block(self, node: ast.ProceduralBlockSymbol) -> None:
        waiting = waits_then_acts(node) if node.procedureKind in (*ONCE, _ALWAYS) else None
        if waiting is None:
            return
        if node.procedureKind in ONCE:
            why = "what comes after it depends on simulated time, which a board does not have"
            self._note("delay in an initial block", why, "delay", waiting)
        elif not _has_event(node):
            why = "it runs by simulated time and not by the clock"
            self._note("always block without an event", why, "delay", waiting)

    def _delay(self, node: ast.DelayControl | ast.Delay3Control) -> None:
        if self._context is None:
            self._context = context_of(self._body)
        length = delay_ns(node, self._unit_ns, self._context)
        if length > LONGEST_DELAY_NS:
            text = "delay that is no constant" if length == float("inf") else f"delay of {length:g} ns"
            why = f"delays do not exist on a board; up to {LONGEST_DELAY_NS:g} ns they change nothing here"
            self._note(text, why, "delay", node)

    def _system_call(self, node: ast.CallExpression, spot: Spot) -> None:
        name = node.subroutineName
        why = objection(node, name, spot, self._body)
        if why is not None:
            self._found[system_task(name, why, place_of(self._places, node.sourceRange.start))] = None


def _has_event(block: ast.ProceduralBlockSymbol) -> bool:
    events: list[object] = []

    def note(node: object) -> None:
        if isinstance(node, (ast.SignalEventControl, ast.EventListControl, ast.ImplicitEventControl)):
            events.append(node)

    block.visit(note)
    return bool(events)
