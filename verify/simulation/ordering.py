"""The order in which source files are compiled."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

__all__ = ["packages_first"]

NOISE = re.compile(rb'//[^\n]*|/\*.*?\*/|"(?:[^"\\\n]|\\.)*"', re.S)
PACKAGE = re.compile(rb"\bpackage\s+(?:automatic\s+|static\s+)?(\w+)\s*;")
USE = re.compile(rb"\b(\w+)\s*::")


def packages_first(sources: Sequence[Path], texts: Mapping[Path, bytes]) -> tuple[Path, ...]:
    """The sources as they stand, except that a file with a package comes before the files that use it.

    Compilers want it that way, and a list that a wildcard made knows nothing of it.
    """
    plain = {path: NOISE.sub(b" ", texts[path]) for path in sources}
    home = {name: path for path in sources for name in PACKAGE.findall(plain[path])}
    ordered: dict[Path, None] = {}
    entered: set[Path] = set()

    def place(path: Path) -> None:
        if path in entered:  # also ends a circle
            return
        entered.add(path)
        for name in USE.findall(plain[path]):
            if name in home:
                place(home[name])
        ordered[path] = None

    for path in sources:
        place(path)
    return tuple(ordered)
