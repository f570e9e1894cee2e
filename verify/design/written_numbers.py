"""The integers that stand in a design's own text, and the text with others in their place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pyslang import parsing, syntax

from verify.design.duplicates import without_repeats
from verify.design.elaborate import Parsed
from verify.design.sources import Dialect, SourceText, read_sources
from verify.errors import Place

__all__ = ["WrittenNumber", "texts_with", "written_numbers"]

_BASES = {"d": "d", "h": "x", "b": "b", "o": "o"}
"""The letter of a base in Verilog -> that of Python's formatting."""


@dataclass(frozen=True, slots=True)
class WrittenNumber:
    """An integer literal: ``text`` from ``start`` to ``end`` (UTF-8 bytes) of ``file`` is ``value``.

    A number in a macro is one where the macro is defined, however often it is used.
    """

    file: Path
    start: int
    end: int
    text: str
    value: int
    place: Place

    def written_as(self, value: int) -> str:
        """Another value in the same size and base."""
        head, quote, digits = self.text.rpartition("'")
        if not quote:
            return str(value)
        signed = "s" if digits[:1] in "sS" else ""
        base = digits[len(signed)].lower()
        return f"{head}'{signed}{base}{value:{_BASES[base]}}"


def written_numbers(sources: Sequence[Path], dialect: Dialect) -> tuple[WrittenNumber, ...]:
    """Every integer without x or z that is compiled, in the sources themselves; not in included files.

    Raises DesignError for a file that cannot be read.
    """
    texts, parsed = without_repeats(read_sources(sources, dialect), dialect)
    by_name = {str(text.path): text for text in texts}
    found = (_number(node, parsed, by_name) for node in _literals(parsed.tree.root))
    return tuple(sorted({n for n in found if n is not None}, key=lambda n: (str(n.file), n.start)))


def texts_with(replaced: Mapping[WrittenNumber, int]) -> tuple[tuple[Path, str], ...]:
    """The files of the numbers, each with the new values in their place."""
    by_file: dict[Path, list[WrittenNumber]] = {}
    for number in replaced:
        by_file.setdefault(number.file, []).append(number)
    return tuple((file, _edited(file, numbers, replaced)) for file, numbers in by_file.items())


def _edited(file: Path, numbers: Iterable[WrittenNumber], replaced: Mapping[WrittenNumber, int]) -> str:
    (source,) = read_sources([file], Dialect())
    raw = source.text.encode()
    for number in sorted(numbers, key=lambda n: -n.start):
        raw = raw[: number.start] + number.written_as(replaced[number]).encode() + raw[number.end :]
    return raw.decode()


def _literals(root: Any) -> Iterator[Any]:
    waiting = [root]
    while waiting:  # a design may be nested more deeply than Python's stack
        node = waiting.pop()
        kind = syntax.SyntaxKind.IntegerLiteralExpression
        if isinstance(node, syntax.IntegerVectorExpressionSyntax) or node.kind is kind:
            yield node
        else:
            waiting += (c for c in node if c is not None and not isinstance(c, parsing.Token))


def _number(node: Any, parsed: Parsed, texts: Mapping[str, SourceText]) -> WrittenNumber | None:
    vector = isinstance(node, syntax.IntegerVectorExpressionSyntax)
    value = (node.value if vector else node.literal).value
    manager, span = parsed.manager, node.sourceRange
    first, last = manager.getFullyOriginalLoc(span.start), manager.getFullyOriginalLoc(span.end)
    source = texts.get(manager.getFileName(first))
    if source is None or first.buffer != last.buffer or value is None or value.hasUnknown:
        return None
    shift = len(source.prefix.encode())
    start, end = first.offset - shift, last.offset - shift
    text = source.text.encode()[start:end].decode(errors="replace")
    place = parsed.places.place(first)
    # A number put together from the arguments of a macro stands nowhere as such.
    if place is None or not text.strip() or "".join(str(node).split()) != "".join(text.split()):
        return None
    return WrittenNumber(source.path, start, end, text, int(value), place)
