"""From a bench to checks with nothing left to look up."""

from __future__ import annotations

from verify.bench.resolved import ResolvedCheck
from verify.bench.schema import Bench, Check

__all__ = ["resolve"]


def resolve(bench: Bench, check: Check, *, speedup: int = 1) -> ResolvedCheck:
    """Look up every port of ``check`` in the design and evaluate every number.

    ``speedup``: factor by which the clock-frequency parameter is scaled down. Raises
    :class:`verify.errors.BenchError` with the key's place and
    :class:`verify.errors.DesignError`.
    """
    raise NotImplementedError
