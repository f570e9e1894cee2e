"""Which files a module is made of: a change in any other leaves its checks alone.

Told from the words in the files, not from their elaboration: a file that mentions a module, package
or interface of another needs that one. That may be a file too many, and is never one too few. A file
that may act on all others (macros, declarations outside of modules) counts for everything.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

__all__ = ["directives", "needed_files"]

_NOISE = re.compile(rb'//[^\n]*|/\*.*?\*/|"(?:[^"\\\n]|\\.)*"', re.DOTALL)
_WORD = re.compile(rb"[A-Za-z_\\][\w$]*")
_KIND = rb"\b(?:module|macromodule|interface|package|program|primitive)\b"
_UNIT = re.compile(_KIND + rb"\s+(?:static\s+|automatic\s+)?(\w+)")
_BODIES = re.compile(
    _KIND + rb".*?"
    rb"\bend(?:module|interface|package|program|primitive)\b(?:\s*:\s*\w+)?",
    re.DOTALL,
)
_DIRECTIVE = re.compile(rb"`(\w+)[^\n]*")
_HARMLESS = {b"timescale", b"default_nettype", b"include", b"resetall", b"celldefine", b"endcelldefine"}


def needed_files(module: str | None, sources: Iterable[Path], texts: Mapping[Path, bytes]) -> frozenset[Path]:
    """Of ``sources``, with their texts, the files that ``module`` may depend on.

    All of them when it is not known which file it is in. Files that are included are not sources:
    they count for everything.
    """
    sources = tuple(sources)
    plain = {path: _NOISE.sub(b" ", texts[path]) for path in sources}
    units: dict[bytes, set[Path]] = {}
    for path, text in plain.items():
        for match in _UNIT.finditer(text):
            units.setdefault(match[1], set()).add(path)
    name = (module or "").encode()
    if name not in units:
        return frozenset(sources)
    needed = {path for path, text in plain.items() if _acts_on_all(text)}
    waiting = [*units[name], *needed]
    needed |= units[name]
    while waiting:
        for word in set(_WORD.findall(plain[waiting.pop()])):
            fresh = units.get(word.lstrip(b"\\"), set()) - needed
            needed |= fresh
            waiting += fresh
    return frozenset(needed)


def directives(text: bytes) -> bytes:
    """The directives of a file, which hold for the files compiled after it, too."""
    return b"\n".join(match[0] for match in _DIRECTIVE.finditer(_NOISE.sub(b" ", text)))


def _acts_on_all(text: bytes) -> bool:
    """Whether something in it may reach into other files."""
    if any(name not in _HARMLESS for name in _DIRECTIVE.findall(text)):
        return True
    return bool(_WORD.search(_DIRECTIVE.sub(b" ", _BODIES.sub(b" ", text)).replace(b";", b" ")))
