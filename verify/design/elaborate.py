"""Compile source texts, and turn what the compiler says into errors with a place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import pyslang
from pyslang import ast, syntax

from verify.design.includes import refuse_far
from verify.design.places import PlaceFinder
from verify.design.sources import Dialect, SourceText
from verify.errors import DesignError, Place

__all__ = ["Parsed", "Problem", "elaborate", "error_of", "parse", "problems_of"]

_SHOWN_FURTHER = 5

_FLAGS = (
    ast.CompilationFlags.AllowUseBeforeDeclare
    | ast.CompilationFlags.AllowInvalidTop
    | ast.CompilationFlags.AllowHierarchicalConst
    | ast.CompilationFlags.AllowMergingAnsiPorts
    | ast.CompilationFlags.AllowUnnamedGenerate
    | ast.CompilationFlags.AllowRecursiveImplicitCall
    | ast.CompilationFlags.AllowBareValParamAssignment
    | ast.CompilationFlags.RelaxEnumConversions
    | ast.CompilationFlags.RelaxStringConversions
)
"""What the simulators accept although IEEE 1800 does not."""

_LENIENT = frozenset(
    {
        "DirectiveInsideDesignElement",
        "FormatMismatchedType",
        "FormatNoArgument",
        "FormatUnspecifiedType",
        "MissingTimeScale",
        "ParamHasNoValue",
        "TopModuleIfacePort",
        "UnknownFormatSpecifier",
    }
)
"""Errors that the simulators do not stop at, or that are told more clearly later."""

_UNDEFINED_MACRO = "UnknownDirective"


@dataclass(frozen=True, slots=True)
class Parsed:
    """All files as one compilation unit, so that macros carry over as they do in the simulators."""

    manager: pyslang.SourceManager
    tree: syntax.SyntaxTree
    places: PlaceFinder


@dataclass(frozen=True, slots=True)
class Problem:
    """One error of the compiler: ``code`` names its kind, ``subject`` is its first argument."""

    code: str
    message: str
    place: Place | None
    subject: str = ""


def parse(sources: Sequence[SourceText], dialect: Dialect) -> Parsed:
    """Parse all files in order. Raises DesignError for an include that leaves the folders of the design."""
    manager = pyslang.SourceManager()
    manager.setDisableProximatePaths(True)
    buffers = [
        manager.assignText(str(source.path), source.prefix + source.text + source.suffix)
        for source in sources
    ]
    tree = syntax.SyntaxTree.fromBuffers(buffers, manager, dialect.options())
    refuse_far(manager, (source.path for source in sources), dialect.include)
    return Parsed(manager, tree, PlaceFinder(manager, sources))


def elaborate(
    parsed: Parsed, tops: Iterable[str], parameters: Mapping[str, str] | None = None
) -> ast.Compilation:
    """Elaborate every module in ``tops`` as a top; ``parameters`` apply to all of them."""
    options = ast.CompilationOptions()
    options.flags = _FLAGS
    options.topModules = set(tops)
    options.paramOverrides = [f"{name}={value}" for name, value in (parameters or {}).items()]
    bag = pyslang.Bag()
    bag.compilationOptions = options
    compilation = ast.Compilation(bag)
    compilation.addSyntaxTree(parsed.tree)
    return compilation


def problems_of(parsed: Parsed, diagnostics: Iterable[pyslang.Diagnostic]) -> list[Problem]:
    """The errors among ``diagnostics``, in their order."""
    engine = pyslang.DiagnosticEngine(parsed.manager)
    problems = []
    for diagnostic in diagnostics:
        code = str(diagnostic.code).removeprefix("DiagCode(").removesuffix(")")
        if diagnostic.isError() and code not in _LENIENT:
            subject = next((arg for arg in diagnostic.args if isinstance(arg, str)), "")
            place = parsed.places.place(diagnostic.location)
            problems.append(Problem(code, engine.formatMessage(diagnostic), place, subject))
    # The simulators take an undefined macro for nothing at all: harmless on a line of its own.
    harmless = all(p.code == _UNDEFINED_MACRO and _begins_line(p.place) for p in problems)
    return [] if harmless else problems


def _begins_line(place: Place | None) -> bool:
    return (
        place is not None
        and place.column is not None
        and place.source is not None
        and not place.source[: place.column - 1].strip()
    )


def error_of(problems: Sequence[Problem]) -> DesignError:
    """The first problem as an error, with a few of the others below it."""
    first, *others = problems
    message, advice = first.message, None
    if first.code == "UnknownModule":
        message = f"module {first.subject!r} is not in any of the files"
        advice = (
            f"add the file that defines {first.subject!r} to the sources; for a primitive of a chip's "
            f"library, add a simulation model of it. Without a bench, --stub {first.subject} puts an empty "
            f"module in its place, and --stub {first.subject}=PORT one whose outputs follow that input"
        )
    elif first.code == "CouldNotOpenIncludeFile":
        advice = "add the folder of the included file to `include`"
    elif first.code == _UNDEFINED_MACRO:
        advice = "define the macro in `defines`, or add the file that defines it before this one"
    lines = [message]
    lines += [f"  {_where(p)}{p.message}" for p in others[:_SHOWN_FURTHER]]
    if len(others) > _SHOWN_FURTHER:
        lines.append(f"  and {len(others) - _SHOWN_FURTHER} more")
    if others:
        lines.insert(1, "further errors:")
    return DesignError("\n".join(lines), place=first.place, advice=advice)


def _where(problem: Problem) -> str:
    return "" if problem.place is None else f"{problem.place}: "
