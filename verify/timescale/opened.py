"""A module that can be elaborated again and again, at other parameter values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pyslang import ast

from verify.design.duplicates import without_repeats
from verify.design.elaborate import Parsed, elaborate, error_of, problems_of
from verify.design.places import PlaceFinder
from verify.design.sources import Dialect, read_sources
from verify.simulation.interface import Target

__all__ = ["Elaborated", "OpenedDesign"]


@dataclass(frozen=True, slots=True)
class Elaborated:
    """The body of the module at one set of parameter values.

    ``context``: for evaluating expressions; it borrows from ``scope``, and all of them from
    ``compilation``, so they have to live as long as it does.
    """

    body: ast.InstanceBodySymbol
    compilation: ast.Compilation
    scope: ast.ASTContext
    context: ast.EvalContext
    places: PlaceFinder


class OpenedDesign:
    """Files that are parsed once; an elaboration of a small design then takes about a millisecond."""

    def __init__(self, target: Target) -> None:
        """Raises DesignError for files that cannot be read or parsed."""
        dialect = Dialect(target.include, dict(target.defines))
        _, self._parsed = without_repeats(read_sources(target.sources, dialect), dialect)
        self._top = target.top
        self._parameters = dict(target.parameters)
        self._require(self._parsed.tree.diagnostics)

    @property
    def parsed(self) -> Parsed:
        """The parsed files."""
        return self._parsed

    def at(self, values: Mapping[str, int]) -> Elaborated:
        """The module with ``values`` on top of the target's own parameters.

        Raises DesignError when there is no such design (a width of zero, a division by zero).
        """
        parameters = {name: str(value) for name, value in {**self._parameters, **values}.items()}
        compilation = elaborate(self._parsed, [self._top], parameters)
        self._require(compilation.getSemanticDiagnostics())
        body = compilation.getRoot().topInstances[0].body
        scope = ast.ASTContext(body, ast.LookupLocation.max)
        return Elaborated(body, compilation, scope, ast.EvalContext(scope), self._parsed.places)

    def _require(self, diagnostics: object) -> None:
        problems = problems_of(self._parsed, diagnostics)  # type: ignore[arg-type]
        if problems:
            raise error_of(problems)
