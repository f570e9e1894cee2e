"""What is unsafe and does not come through the elaboration: unknown tasks, statements left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import pyslang
from pyslang import parsing

from verify.design import system_names as names
from verify.design.elaborate import Parsed
from verify.design.interface import UnsafeConstruct
from verify.design.ports import place_of
from verify.design.unsafe import system_task

__all__ = ["unsafe_beside"]

_KNOWN = (
    names.HARMLESS | names.PRINTS | names.DUMPS | names.LOADS | names.CLOCKS | names.RANDOM
    | names.ENDS | names.TEXTS
)  # fmt: skip
_FOREIGN = ("systemc_", "verilator_config", "c_header", "suppress_")
"""Directives that put other languages into a simulator, or change what it does."""


def unsafe_beside(parsed: Parsed, diagnostics: Sequence[pyslang.Diagnostic]) -> tuple[UnsafeConstruct, ...]:
    """From what an elaboration said: ``diagnostics`` are its own, those of the parser are looked up.

    A statement with an error that the simulators do not stop at is not elaborated; then every
    system task in the files counts as it is spelled.
    """
    found: dict[UnsafeConstruct, None] = {}
    for diagnostic in diagnostics:
        if _code(diagnostic) == "UnknownSystemName":
            name = str(diagnostic.args[0])
            why = names.REASONS.get(name, "it is not in IEEE 1800")
            found[system_task(name, why, place_of(parsed.places, diagnostic.location))] = None
    found.update(dict.fromkeys(_foreign(parsed, parsed.tree.diagnostics)))
    if any(diagnostic.isError() for diagnostic in diagnostics):
        found.update(dict.fromkeys(_spelled(parsed)))
    return tuple(found)


def _code(diagnostic: pyslang.Diagnostic) -> str:
    return str(diagnostic.code).removeprefix("DiagCode(").removesuffix(")")


def _foreign(parsed: Parsed, diagnostics: Iterable[pyslang.Diagnostic]) -> Iterable[UnsafeConstruct]:
    for diagnostic in diagnostics:
        name = str(next(iter(diagnostic.args), ""))
        if _code(diagnostic) == "UnknownDirective" and name.lstrip("`").startswith(_FOREIGN):
            place = place_of(parsed.places, diagnostic.location)
            yield UnsafeConstruct(
                f"`{name.lstrip('`')}", place, "it speaks to one simulator only", "directive"
            )


def _spelled(parsed: Parsed) -> Iterable[UnsafeConstruct]:
    found: list[UnsafeConstruct] = []

    def note(node: object) -> None:
        if isinstance(node, parsing.Token) and node.kind is parsing.TokenKind.SystemIdentifier:
            name = node.valueText
            if name not in _KNOWN:
                found.append(system_task(name, None, place_of(parsed.places, node.location)))

    parsed.tree.root.visit(note)
    return found
