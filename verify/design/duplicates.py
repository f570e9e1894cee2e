"""Modules that are defined more than once: a file given twice over, or a real conflict."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pyslang import syntax

from verify.design.elaborate import Parsed, parse
from verify.design.sources import Dialect, SourceText
from verify.errors import DesignError, Place

__all__ = ["definitions", "without_repeats"]


@dataclass(frozen=True, slots=True)
class _Definition:
    name: str
    kind: syntax.SyntaxKind
    file: Path
    place: Place
    text: str
    included: bool


def definitions(parsed: Parsed) -> Iterator[_Definition]:
    """Every module, interface, package and primitive, in the order of the files."""
    root = parsed.tree.root
    nodes = root.members if isinstance(root, syntax.CompilationUnitSyntax) else [root]
    for node in nodes:
        if isinstance(node, syntax.ModuleDeclarationSyntax):
            token = node.header.name
        elif isinstance(node, syntax.UdpDeclarationSyntax):
            token = node.name
        else:
            continue
        file = parsed.places.file(token.location)
        place = parsed.places.place(token.location) or Place(file)
        text = " ".join(str(node).split())
        included = parsed.manager.isIncludedFileLoc(token.location)
        yield _Definition(token.valueText, node.kind, file, place, text, included)


def without_repeats(
    sources: tuple[SourceText, ...], dialect: Dialect
) -> tuple[tuple[SourceText, ...], Parsed]:
    """The sources less those that another one includes or that only repeat others; and them parsed.

    Raises DesignError for two different modules of one name.
    """
    while True:
        parsed = parse(sources, dialect)
        superfluous = _superfluous(list(definitions(parsed)), sources)
        if superfluous is None:
            return sources, parsed
        sources = tuple(source for source in sources if source is not superfluous)


def _superfluous(found: list[_Definition], sources: tuple[SourceText, ...]) -> SourceText | None:
    by_file = {source.path.resolve(): source for source in sources}
    first: dict[str, _Definition] = {}
    for definition in found:
        earlier = first.setdefault(definition.name, definition)
        if earlier is definition:
            continue
        for one in (earlier, definition):
            source = by_file.get(one.file.resolve())
            if source is not None and one.included:
                return source
        source = by_file.get(definition.file.resolve())
        if source is not None and definition.file != earlier.file and _only_repeats(definition.file, found):
            return source
        raise DesignError(
            f"{definition.name!r} is defined twice, first in {earlier.place}",
            place=definition.place,
            advice="leave one of the two files out of the sources, or rename one module",
        )
    return None


def _only_repeats(file: Path, found: list[_Definition]) -> bool:
    """Whether everything in ``file`` stands word for word in the files before it."""
    before: set[tuple[str, str]] = set()
    for definition in found:
        if definition.file != file:
            before.add((definition.name, definition.text))
        elif (definition.name, definition.text) not in before:
            return False
    return True
