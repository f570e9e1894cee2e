"""Open the design of a check."""

from __future__ import annotations

import difflib
import os

from verify.bench import Bench, load_bench
from verify.bench.schema import Check
from verify.checks.planning import plan_check
from verify.checks.settings import Settings
from verify.errors import BenchError, Place
from verify.properties.designs import DesignSimulation

__all__ = ["simulate"]


def simulate(
    bench: str | os.PathLike[str], check: str | None = None, settings: Settings | None = None
) -> DesignSimulation:
    """The design of one check of the bench file at ``bench``, ready to be played; a context manager.

    ``check``: its name; may be left out when the bench has only one. The clock parameter is scaled
    down as for a check. Raises the errors of :mod:`verify.errors`.
    """
    loaded = load_bench(bench)
    plan = plan_check(loaded, _chosen(loaded, check))
    return DesignSimulation(plan.scaled, settings or Settings())


def _chosen(bench: Bench, name: str | None) -> Check:
    names = [check.name for check in bench.checks]
    place = Place(bench.path) if bench.path else None
    if name is None:
        if len(names) == 1:
            return bench.checks[0]
        raise BenchError(
            f"the bench has {len(names)} checks, and none of them was named",
            place=place,
            advice="name one of them: " + ", ".join(names),
        )
    if name not in names:
        near = difflib.get_close_matches(name, names, n=1)
        advice = f"did you mean {near[0]!r}?" if near else "the checks are: " + ", ".join(names)
        raise BenchError(f"no check is called {name!r}", place=place, advice=advice)
    return bench.checks[names.index(name)]
