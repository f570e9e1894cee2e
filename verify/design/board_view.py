"""What synthesis would read where that is not what is simulated.

Synthesis defines the macro SYNTHESIS and skips what stands between the comments ``translate_off``
and ``translate_on`` (common practice; IEEE 1364.1-2002 6.2 has the macro). Code that only prints,
asserts or presets may differ; anything else would be checked here and be something else on a board.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pyslang import parsing, syntax

from verify.design import system_names as names
from verify.design.elaborate import Parsed, parse
from verify.design.interface import UnsafeConstruct
from verify.design.sources import Dialect, SourceText, read_sources
from verify.errors import Place
from verify.whole_files import read_whole

__all__ = ["unlike_on_board"]

MACRO = "SYNTHESIS"
_SKIPPED = re.compile(
    r"(?://|/\*)[ \t]*\w+[ \t]+translate_off\b(.*?)(?:(?://|/\*)[ \t]*\w+[ \t]+translate_on\b|\Z)", re.DOTALL
)
_MENTIONS = re.compile(rf"\b{MACRO}\b|translate_off|``")
_Kind = syntax.SyntaxKind
_DOING = frozenset(
    {
        _Kind.BlockingEventTriggerStatement,
        _Kind.DisableStatement,
        _Kind.JumpStatement,
        _Kind.NonblockingEventTriggerStatement,
        _Kind.ProceduralAssignStatement,
        _Kind.ReturnStatement,
        _Kind.WaitStatement,
    }
)
_BLOCKS = (_Kind.InitialBlock, _Kind.FinalBlock)
_FOR_ASSERTIONS = (_Kind.PropertyDeclaration, _Kind.SequenceDeclaration)


def unlike_on_board(
    sources: Iterable[str | os.PathLike[str]],
    include: Sequence[Path],
    defines: Mapping[str, str],
) -> tuple[UnsafeConstruct, ...]:
    """The first place, if any, where a module is something else on a board. Raises DesignError."""
    here = Dialect(tuple(include), dict(defines))
    if MACRO in defines:
        return ()
    texts = read_sources(sources, here)
    if not any(_MENTIONS.search(text) for text in _all_texts(texts, include)):
        return ()
    there = Dialect(here.include, {**defines, MACRO: "1"})
    simulated = parse(texts, here)
    on_board = parse([replace(text, text=_SKIPPED.sub(_blank, text.text)) for text in texts], there)
    place = _first_difference(simulated, on_board)
    if place is None:
        return ()
    why = f"synthesis, with {MACRO} defined and translate_off heeded, makes another circuit of this"
    return (UnsafeConstruct("code for the simulation alone", place, why, MACRO.lower()),)


def _all_texts(texts: Sequence[SourceText], include: Sequence[Path]) -> Iterator[str]:
    """The sources, and whatever lies in their folders and may be included."""
    for text in texts:
        yield text.text
        for name in re.findall(r'`include\s*["<]([^">\n]+)', text.text):
            for folder in (text.path.parent, *include):
                file = folder / name
                with contextlib.suppress(OSError):
                    yield read_whole(file).decode(errors="replace")
        if re.search(r"`include\s*[^\"<\s]", text.text):
            yield MACRO  # a name that a macro makes: look closely


def _blank(match: re.Match[str]) -> str:
    return "\n" * match[0].count("\n")


def _first_difference(simulated: Parsed, on_board: Parsed) -> Place | None:
    """The place in what is simulated; at the module where something is only on the board."""
    there = {name: [text for text, _ in items] for name, _, items in _modules(on_board)}
    for name, module, items in _modules(simulated):
        others = there.get(name)
        if others is None:
            return _place(simulated, module)
        for index, (text, node) in enumerate(items):
            if index >= len(others) or others[index] != text:
                return _place(simulated, node)
        if len(others) > len(items):
            return _place(simulated, module)
    return None


def _place(parsed: Parsed, node: Any) -> Place:
    place = parsed.places.place(node.sourceRange.start)
    return Place(parsed.places.file(node.sourceRange.start)) if place is None else place


def _modules(parsed: Parsed) -> Iterator[tuple[str, Any, list[tuple[str, Any]]]]:
    root = parsed.tree.root
    for module in root.members if isinstance(root, syntax.CompilationUnitSyntax) else [root]:
        if isinstance(module, syntax.ModuleDeclarationSyntax):
            items = [(_words(module.header), module.header)]
            items += [(_words(member), member) for member in module.members if not _idle(member)]
            yield module.header.name.valueText, module, [item for item in items if item[0]]


def _idle(member: Any) -> bool:
    """Whether no circuit comes of it: presets and what only prints or asserts."""
    if member.kind in _BLOCKS:
        return "#" not in _words(member)
    if member.kind in _FOR_ASSERTIONS:
        return True
    if isinstance(member, syntax.ProceduralBlockSyntax):
        return not _acts(member.statement)
    return not _words(member)


def _words(node: Any) -> str:
    return " ".join(_tokens(node))


def _tokens(node: Any) -> Iterator[str]:
    """The words of a piece of Verilog, without comments, and without statements that only tell."""
    if isinstance(node, parsing.Token):
        yield node.rawText
    elif node is not None and not _silent(node):
        for child in node:
            yield from _tokens(child)


def _silent(node: Any) -> bool:
    return isinstance(node, syntax.StatementSyntax) and not _acts(node)


def _acts(node: Any) -> bool:
    """Whether a statement does anything but print and assert."""
    if node is None or isinstance(node, parsing.Token):
        return False
    if node.kind in _DOING or (isinstance(node, syntax.ExpressionStatementSyntax) and not _prints(node)):
        return True
    return any(_acts(child) for child in node)


def _prints(node: syntax.ExpressionStatementSyntax) -> bool:
    return node.expr.getFirstToken().rawText in names.PRINTS
