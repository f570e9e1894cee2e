"""Included files that do not belong to the design: a stranger's text must not print the machine's files."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pyslang

from verify.errors import DesignError, Place

__all__ = ["refuse_far"]


def refuse_far(manager: pyslang.SourceManager, sources: Iterable[Path], include: Iterable[Path]) -> None:
    """Raise DesignError for an included file that is neither below nor one above a folder of the design.

    ``include``: folders that the bench names for it. Links are followed: where a file lies counts.
    """
    sources = list(sources)
    homes = {_around(folder) for source in sources for folder in (source.parent, source.resolve().parent)}
    homes |= {folder.resolve() for folder in include}
    given = {str(source) for source in sources}
    for buffer in manager.getAllBuffers():
        origin = manager.getIncludedFrom(buffer)
        if not origin or manager.getRawFileName(buffer) in given:
            continue
        path = Path(manager.getFullPath(buffer)).resolve()
        if homes.isdisjoint(path.parents):
            raise DesignError(
                f"`include of {path} is refused: it is outside the folders of the design",
                place=Place(Path(manager.getFileName(origin)), manager.getLineNumber(origin)),
                advice="copy the file into the design, or name its folder in `include` of the bench",
            )


def _around(folder: Path) -> Path:
    """The folder above, since ``../common/widths.vh`` is usual; of a folder at the root itself."""
    folder = folder.resolve()
    above = folder.parent
    return folder if above == above.parent else above
