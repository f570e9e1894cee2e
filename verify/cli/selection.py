"""Which checks of which benches ``--only`` means."""

from __future__ import annotations

import difflib
import os
import tomllib
from collections.abc import Sequence
from pathlib import Path

from verify.errors import BenchError, EveryedgeError
from verify.report.figures import path_text
from verify.whole_files import read_whole

__all__ = ["jobs_at_once", "selected"]


def selected(benches: Sequence[Path], only: tuple[str, ...]) -> list[tuple[Path, tuple[str, ...]]]:
    """Each bench with the names of its checks to run; () means all of them.

    A bench that has none of the names is left out, and so is one that cannot be read: its error is
    not what was asked about. Raises BenchError for a name that no bench has.
    """
    if not only or len(benches) == 1:
        return [(bench, only) for bench in benches]
    names = {bench: _names(bench) for bench in benches}
    known = sorted({name for found in names.values() for name in found})
    for name in only:
        if name not in known:
            near = difflib.get_close_matches(name, known, n=1)
            raise BenchError(
                f"no check is called {name!r} in the {len(benches)} benches from {path_text(benches[0])} on",
                advice=f"did you mean {near[0]!r}?" if near else f"the checks are: {', '.join(known)}",
            )
    chosen = ((bench, tuple(n for n in only if n in found)) for bench, found in names.items())
    return [(bench, wanted) for bench, wanted in chosen if wanted]


def jobs_at_once(chosen: Sequence[tuple[Path, tuple[str, ...]]], jobs: int | None) -> int:
    """How many checks to run side by side: ``jobs``, else as many as there are processors.

    1 when there is only one check, which then needs no process of its own.
    """
    wanted = jobs if jobs is not None else len(os.sched_getaffinity(0))
    if wanted > 1 and len(chosen) == 1:
        bench, names = chosen[0]
        wanted = min(wanted, len(names) or _how_many(bench))
    return wanted


def _how_many(bench: Path) -> int:
    """Checks of a bench, counted without reading more of it; 1 when it is no bench, which is told later."""
    try:
        checks = tomllib.loads(read_whole(bench).decode("utf-8-sig")).get("check")
    except (OSError, ValueError):
        return 1
    return len(checks) if isinstance(checks, list) else 1


def _names(bench: Path) -> tuple[str, ...]:
    from verify.bench import load_bench  # noqa: PLC0415 -- heavy, and only for --only

    try:
        return tuple(check.name for check in load_bench(bench).checks)
    except EveryedgeError:
        return ()
