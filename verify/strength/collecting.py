"""All the changes of a design's own text that are worth trying."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from pyslang import parsing, syntax

from verify.bench import Bench
from verify.bench.overrides import all_modules, defines_of, include_folders
from verify.design.duplicates import without_repeats
from verify.design.elaborate import Parsed
from verify.design.sources import Dialect, SourceText, read_sources
from verify.strength.mutation import Mutation
from verify.strength.rules import Change, changes_of

__all__ = ["mutations_of"]

_SKIPPED = (
    syntax.AttributeInstanceSyntax,
    syntax.ConcurrentAssertionStatementSyntax,
    syntax.ImmediateAssertionStatementSyntax,
)


def mutations_of(bench: Bench) -> list[Mutation]:
    """The mutations of every module that the bench checks, and of those below; in the order of the text.

    What comes out of a macro is left alone. Raises DesignError for a design that cannot be read.
    """
    dialect = Dialect(tuple(include_folders(bench)), defines_of(bench))
    texts, parsed = without_repeats(read_sources(bench.files, dialect), dialect)
    wanted = _reached(bench)
    by_name = {str(text.path): text for text in texts}
    found: dict[tuple[object, ...], Mutation] = {}
    root = parsed.tree.root
    for node in root.members if isinstance(root, syntax.CompilationUnitSyntax) else [root]:
        if isinstance(node, syntax.ModuleDeclarationSyntax) and node.header.name.valueText in wanted:
            for change in _changes(node, ()):
                mutation = _mutation(change, parsed, by_name)
                if mutation is not None and mutation.old != mutation.new:
                    found.setdefault((mutation.file, mutation.start, mutation.end, mutation.after), mutation)
    return list(found.values())


def _reached(bench: Bench) -> set[str]:
    design = all_modules(bench)
    waiting = [check.module or bench.design.top or design.tops[0] for check in bench.checks]
    reached: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            module = design.modules.get(name)
            waiting += module.instances.values() if module is not None else ()
    return reached


def _changes(node: Any, above: tuple[Any, ...]) -> Iterator[Change]:
    if node is None or isinstance(node, (parsing.Token, *_SKIPPED)):
        return
    yield from changes_of(node, above)
    for child in node:
        yield from _changes(child, (*above, node))


def _mutation(change: Change, parsed: Parsed, texts: Mapping[str, SourceText]) -> Mutation | None:
    ranges = [_range(part, parsed) for part in (change.node, change.last) if part is not None]
    manager = parsed.manager
    if any(r is None for r in ranges):
        return None
    first, last = ranges[0], ranges[-1]
    source = texts.get(manager.getFileName(first.start))
    if source is None or first.start.buffer != last.end.buffer:
        return None
    shift = len(source.prefix.encode())
    raw = source.text.encode()
    start, end = first.start.offset - shift, last.end.offset - shift
    after = change.text
    if change.kind == "ports":  # two pieces change places, with what is between them
        here, there = first, last
        pieces = [
            raw[a - shift : b - shift]
            for a, b in (
                (there.start.offset, there.end.offset),
                (here.end.offset, there.start.offset),
                (here.start.offset, here.end.offset),
            )
        ]
        after = b"".join(pieces).decode(errors="replace")
    return _described(source, raw, start, end, after, change.kind)


def _described(
    source: SourceText, raw: bytes, start: int, end: int, after: str, kind: str
) -> Mutation | None:
    try:
        new = raw[:start].decode() + after + raw[end:].decode()
    except UnicodeDecodeError:
        return None
    line = raw.count(b"\n", 0, start)
    count = raw.count(b"\n", start, end) + 1
    olds = source.text.split("\n")[line : line + count]
    news = new.split("\n")[line : line + after.count("\n") + 1]
    return Mutation(source.path, start, end, after, kind, line + 1, _joined(olds), _joined(news))


def _joined(lines: Iterable[str]) -> str:
    return "\n".join(line.strip() for line in lines)


def _range(part: Any, parsed: Parsed) -> Any:
    """Where it stands in a file; None for what comes out of a macro."""
    found = part.range if isinstance(part, parsing.Token) else part.sourceRange
    if found is None or not all(map(parsed.manager.isFileLoc, (found.start, found.end))):
        return None
    return found if not parsed.manager.isIncludedFileLoc(found.start) else None
