"""Read a design: the one way in."""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from pyslang import ast, syntax

from verify.design.data_files import data_files_of
from verify.design.drivers import Drivers
from verify.design.duplicates import definitions, without_repeats
from verify.design.elaborate import Parsed, elaborate, error_of, problems_of
from verify.design.interface import Design, Module
from verify.design.loops import loops_in
from verify.design.ports import parameters_of, place_of, ports_of
from verify.design.reaching import pins_of, reached_by
from verify.design.registers import registers_of
from verify.design.roomy import call_with_room
from verify.design.sources import Dialect, read_sources
from verify.design.structure import comparisons_of, guards_of, names_read
from verify.design.unsafe import unsafe_around, unsafe_in
from verify.design.unsafe_text import unsafe_beside
from verify.design.walk import children, name_below
from verify.errors import DesignError

__all__ = ["ParameterError", "TopError", "read_design"]

_LITERAL = re.compile(
    r"""[-+]?\s*(\d[\d_]*(\.\d[\d_]*)?([eE][-+]?\d+)?|(\d[\d_]*)?\s*'[sS]?[bBoOdDhH]\s*[\dA-Fa-fxXzZ_?]+)|"[^"\n]*\"""",
)


class ParameterError(DesignError):
    """A parameter of the requested top that it does not have or cannot get."""

    def __init__(self, parameter: str, message: str, advice: str | None) -> None:
        super().__init__(message, advice=advice)
        self.parameter = parameter


class TopError(DesignError):
    """The requested top is not in the files; ``known``: what is."""

    def __init__(self, top: str, known: Sequence[str]) -> None:
        near = difflib.get_close_matches(top, known, 1)
        super().__init__(
            f'there is no module "{top}" in the files; they hold {", ".join(known)}',
            advice=f'did you mean "{near[0]}"?'
            if near
            else "name one of these, or add the file that defines it",
        )
        self.known = tuple(known)


def read_design(
    sources: Iterable[str | os.PathLike[str]],
    *,
    include: Iterable[str | os.PathLike[str]] = (),
    defines: Mapping[str, str] | None = None,
    top: str | None = None,
    parameters: Mapping[str, int | str] | None = None,
    lenient: bool = False,
) -> Design:
    """Elaborate Verilog and SystemVerilog files.

    ``include``: folders searched for included files. ``defines``: macro -> text, empty for none.
    ``top``: the module of interest; ``parameters`` (integers or Verilog literals) apply to it, and
    errors elsewhere than in it and below it do not count. Without ``top`` every module that
    nothing instantiates has to elaborate, unless ``lenient``.
    All other modules are given as elaborated on their own
    with their default parameters (with ``top``: their ports, parameters and instances, no more);
    one that cannot be stands in ``Design.broken``.

    Raises DesignError for files that cannot be read or do not compile, with the place of the first
    error, and for a ``top`` or a parameter that is not there.
    """
    dialect = Dialect(tuple(Path(folder) for folder in include), dict(defines or {}))
    try:
        return call_with_room(lambda: _read(sources, dialect, top, dict(parameters or {}), lenient=lenient))
    except RuntimeError:  # the compiler and Python say so when they run out of stack
        raise DesignError(
            "the Verilog is nested too deeply to be read",
            advice="break up very long chains of `else if` or of operators",
        ) from None


def _read(
    sources: Iterable[str | os.PathLike[str]],
    dialect: Dialect,
    top: str | None,
    parameters: Mapping[str, int | str],
    *,
    lenient: bool,
) -> Design:
    texts = read_sources(sources, dialect)
    texts, parsed = without_repeats(texts, dialect)
    problems = problems_of(parsed, parsed.tree.diagnostics)
    if problems:
        raise error_of(problems)
    names = _module_names(parsed)
    if not names:
        raise DesignError(
            f"no module in {', '.join(str(text.path) for text in texts)}",
            advice="give the files that hold `module ... endmodule`",
        )
    modules, broken = _each_alone(parsed, names, whole=top is None)
    if top is None and not lenient:
        _require(parsed, elaborate(parsed, ()))
    elif top is not None:
        modules[top] = _chosen(parsed, names, top, parameters)
        broken.pop(top, None)
    inside = {child for module in modules.values() for child in module.instances.values()}
    instantiated: dict[str, dict[str, int]] = {}
    if lenient:
        # Held until the end: what is elaborated goes away with it.
        whole = elaborate(parsed, [n for n in names if n not in inside and n in modules])
        for name, values, body in _instantiated(parsed, whole, modules):
            modules[name], instantiated[name] = _module(body, parsed, whole=True), values
            broken.pop(name, None)
    return Design(
        sources=tuple(text.path for text in texts),
        modules={name: modules[name] for name in names if name in modules},
        tops=tuple(name for name in names if name not in inside) or tuple(names),
        verilog_2005=tuple(text.path for text in texts if text.verilog_2005),
        broken=broken,
        instantiated=instantiated,
    )


def _module_names(parsed: Parsed) -> list[str]:
    modules = (d for d in definitions(parsed) if d.kind is syntax.SyntaxKind.ModuleDeclaration)
    return list(dict.fromkeys(definition.name for definition in modules))


def _each_alone(
    parsed: Parsed, names: list[str], *, whole: bool
) -> tuple[dict[str, Module], dict[str, DesignError]]:
    """Every module as a top of its own with default parameters, or why it cannot be one."""
    modules: dict[str, Module] = {}
    broken: dict[str, DesignError] = {}
    groups = [names]
    while groups:
        group = groups.pop()
        compilation = elaborate(parsed, group)
        problems = problems_of(parsed, compilation.getSemanticDiagnostics())
        if problems and len(group) > 1:
            half = len(group) // 2
            groups += [group[:half], group[half:]]
        elif problems:
            broken[group[0]] = error_of(problems)
        else:
            for instance in compilation.getRoot().topInstances:
                try:
                    modules[instance.name] = _module(instance.body, parsed, whole=whole)
                except DesignError as error:
                    broken[instance.name] = error
    return modules, broken


def _instantiated(
    parsed: Parsed, whole: ast.Compilation, modules: Mapping[str, Module]
) -> list[tuple[str, dict[str, int], ast.InstanceBodySymbol]]:
    """Modules below the tops that never occur with their default parameters: the first way they do."""
    found: dict[str, list[tuple[dict[str, int], ast.InstanceBodySymbol]]] = {}
    waiting = [instance.body for instance in whole.getRoot().topInstances]
    while waiting:
        for child in children(waiting.pop()):
            waiting.append(child.body)
            name = child.definition.name
            usual = {p.name: p.value for p in modules[name].parameters} if name in modules else {}
            here = {
                p.name: p.value
                for p in parameters_of(child.body, parsed.places)
                if not p.local and p.value is not None and p.value != usual.get(p.name)
            }
            found.setdefault(name, []).append((here, child.body))
    return [(name, *ways[0]) for name, ways in found.items() if all(values for values, _ in ways)]


def _chosen(parsed: Parsed, names: list[str], top: str, parameters: Mapping[str, int | str]) -> Module:
    """The top with its parameters; raises what is wrong with it."""
    if top not in names:
        raise TopError(top, names)
    _check_literals(parameters)
    compilation = elaborate(parsed, [top], {name: str(value) for name, value in parameters.items()})
    _require(parsed, compilation)
    body = compilation.getRoot().topInstances[0].body
    _check_parameters(body, parameters)
    module = _module(body, parsed, whole=True)
    beside = unsafe_beside(parsed, list(compilation.getSemanticDiagnostics()))
    around = unsafe_around(body, compilation, parsed.places)
    return replace(module, unsafe=tuple(dict.fromkeys((*module.unsafe, *around, *beside))))


def _check_parameters(body: ast.InstanceBodySymbol, parameters: Mapping[str, int | str]) -> None:
    settable = [p.name for p in body.parameters if not getattr(p, "isLocalParam", False)]
    for name in parameters:
        if name not in settable:
            near = difflib.get_close_matches(name, settable, 1)
            known = ", ".join(settable) or "none"
            raise ParameterError(
                name,
                f'module {body.definition.name} has no parameter "{name}"; it has {known}',
                f'did you mean "{near[0]}"?' if near else None,
            )


def _check_literals(parameters: Mapping[str, int | str]) -> None:
    for name, value in parameters.items():
        if isinstance(value, str) and not _LITERAL.fullmatch(value.strip()):
            raise ParameterError(
                name,
                f"{value!r} is not a Verilog literal",
                "write a number such as 12 or 8'd12, or text in double quotes",
            )


def _require(parsed: Parsed, compilation: ast.Compilation) -> None:
    problems = problems_of(parsed, compilation.getSemanticDiagnostics())
    if problems:
        raise error_of(problems)


def _module(body: ast.InstanceBodySymbol, parsed: Parsed, *, whole: bool) -> Module:
    """A module; not ``whole``: only its ports, parameters and instances."""
    places = parsed.places
    drivers = Drivers(places)
    parameters = parameters_of(body, places)
    ports = ports_of(body, places)
    outline = Module(
        name=body.definition.name,
        place=place_of(places, body.definition.location),
        ports=tuple(port for port, _ in ports),
        parameters=parameters,
        instances={name_below(body, child): child.definition.name for child in children(body)},
    )
    if not whole:
        return outline
    return replace(
        outline,
        ports=tuple(
            port if port.direction == "input" else replace(port, drivers=drivers.of_port(body, symbol))
            for port, symbol in ports
        ),
        unsafe=unsafe_in(body, places),
        registers=registers_of(body, places),
        loops=loops_in(body, places),
        guards=guards_of(body, places),
        comparisons=comparisons_of(body, places),
        reads=names_read(body),
        reached_by=reached_by(body),
        pins=pins_of(body),
        data_files=data_files_of(body, places),
    )
