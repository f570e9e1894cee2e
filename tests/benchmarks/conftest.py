"""Benchmarks run when they are asked for by name: ``make bench``, or ``pytest tests/benchmarks``."""

from __future__ import annotations

from pathlib import Path

import pytest


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    asked = any("benchmarks" in str(argument) for argument in config.invocation_params.args)
    return None if asked or config.invocation_params.dir.name == "benchmarks" else True


def pytest_sessionfinish() -> None:
    """The table, at the end of all of them."""
    from findings import LINES, write  # noqa: PLC0415 -- only where benchmarks were asked for

    if LINES:
        write()
