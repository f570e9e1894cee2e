"""What a build depends on, found without running anything."""

from __future__ import annotations

import contextlib
import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

from verify.errors import DesignError, Place
from verify.simulation.interface import Target
from verify.simulation.ordering import packages_first
from verify.whole_files import is_file, read_whole

__all__ = ["ChangedError", "SourceSet", "data_files", "read_sources"]

INCLUDE = re.compile(rb"`include\s*(\S[^\n]*)")
QUOTED = re.compile(rb"[\"<]([^\">\n]+)[\">]")
STRING = re.compile(rb'"((?:[^"\\\n]|\\.)+)"')

AFTER_THE_END = b"\x00\x1a"
"""Control characters that old editors leave at the end of a file, and that Icarus stumbles over."""


class ChangedError(Exception):
    """A source file changed during a build."""


@dataclass(frozen=True, slots=True)
class SourceSet:
    """Everything that goes into a build.

    ``files``: the sources in the order of compilation. ``texts``: every file read. ``include``:
    directories in which includes are looked up, in order. ``edited``: those of the sources whose
    text is not that of the file.

    ``digest`` covers the contents, and in which of the directories includes were found; where all of
    it lies does not count. ``complete`` is False when an include is named by a macro, so that the
    digest does not cover all that is compiled.
    """

    files: tuple[Path, ...]
    texts: dict[Path, bytes]
    include: tuple[Path, ...]
    digest: str
    complete: bool
    edited: frozenset[Path] = frozenset()

    def laid_out(self, folder: Path) -> tuple[Path, ...]:
        """Files to compile in the place of :attr:`files`: edited ones are written below ``folder``."""
        laid = []
        for number, path in enumerate(self.files):
            if path in self.edited:
                copy = folder / f"edited_{number}" / path.name
                copy.parent.mkdir()
                copy.write_bytes(self.texts[path])
                laid.append(copy)
            else:
                laid.append(path)
        return tuple(laid)

    def require_unchanged(self) -> None:
        """Raise ChangedError when a file is no longer what it was: what was compiled is not known then."""
        for path, text in self.texts.items():
            if path in self.edited:
                continue
            try:
                same = read_whole(path) == text
            except OSError:
                same = False
            if not same:
                raise ChangedError(str(path))


def read_sources(target: Target) -> SourceSet:
    """Read the sources and everything that they may include, also what a condition leaves out.

    Raises DesignError for a source that cannot be read.
    """
    sources = tuple(path.absolute() for path in target.sources)
    include = tuple(dict.fromkeys(folder.absolute() for folder in target.include_folders))
    edited = {path.absolute(): text.encode() for path, text in target.edited}
    texts = {path: edited[path] if path in edited else _read(path) for path in sources}
    cleaned = {path: text.rstrip(AFTER_THE_END) for path, text in texts.items() if _goes_on(text)}
    texts |= cleaned
    files = packages_first(sources, texts)
    digest = hashlib.sha256()
    complete = True
    waiting = list(reversed(files))
    while waiting:
        path = waiting.pop()
        digest.update(f"{path.suffix} {len(texts[path])}\n".encode() + texts[path])
        for operand in INCLUDE.findall(texts[path]):
            quoted = QUOTED.match(operand)
            if quoted is None:
                complete = False
                continue
            for folder in (path.parent, *include):
                found = folder / quoted[1].decode(errors="surrogateescape")
                digest.update(b"found" if found.is_file() else b"missing")
                if found.is_file() and found not in texts:
                    with contextlib.suppress(OSError):  # whoever compiles it says so
                        texts[found] = read_whole(found)
                        waiting.append(found)
    return SourceSet(files, texts, include, digest.hexdigest(), complete, frozenset({*edited, *cleaned}))


def _goes_on(text: bytes) -> bool:
    return text[-1:] in {b"\x00", b"\x1a"}


def data_files(target: Target, texts: dict[Path, bytes]) -> dict[str, Path]:
    """Files that a ``$readmemh`` of the design may name: path as written -> file.

    Every string in the sources (or parameters) that names a file counts, since the name often comes
    through a parameter.
    """
    found: dict[str, Path] = {}
    written = [(m, path.parent) for path, text in texts.items() for m in STRING.findall(text)]
    written += [(m, Path()) for _, v in target.parameters for m in STRING.findall(str(v).encode())]
    for raw, beside in written:
        name = raw.decode(errors="replace")
        if "\0" in name or Path(name).is_absolute():
            continue
        for folder in target.data_folders(beside):
            file = folder / name
            if name not in found and is_file(file) and file not in texts:
                found[name] = file
    return found


def _read(path: Path) -> bytes:
    try:
        return read_whole(path)
    except OSError as error:
        raise DesignError(
            f"cannot read the source file {path}: {error.strerror}",
            place=Place(path),
            advice="check the path under [design] sources",
        ) from None
