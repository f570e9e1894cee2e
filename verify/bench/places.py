"""Where each key of a bench file stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from verify.errors import Place

__all__ = ["KeyPath", "Places"]

KeyPath = tuple[str | int, ...]
"""From the top of the file: ``("check", 0, "ports", "binary")``."""


@dataclass(frozen=True, slots=True)
class Places:
    """Key path -> place, for keys and for list elements; ``file`` None: the bench came from no file."""

    file: Path | None = None
    keys: Mapping[KeyPath, Place] = field(default_factory=dict)

    def of(self, *path: str | int) -> Place | None:
        """The place of the longest part of ``path`` that stands in the file."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.keys:
                return self.keys[path[:length]]
        return None if self.file is None else Place(self.file)
