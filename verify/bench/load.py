"""Read a bench file."""

from __future__ import annotations

from pathlib import Path

from verify.bench.schema import Bench

__all__ = ["load_bench"]


def load_bench(path: Path) -> Bench:
    """The bench in the TOML file at ``path``, validated.

    Raises :class:`verify.errors.BenchError` with the place of the first key at fault.
    """
    raise NotImplementedError
