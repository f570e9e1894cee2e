"""What was asked of pytest, as everyedge takes it."""

from __future__ import annotations

import pytest

from verify.checks.settings import Settings
from verify.pytest_plugin import SEED, SIMULATOR

__all__ = ["settings_of"]


def settings_of(config: pytest.Config, *only: str) -> Settings:
    """For the checks named ``only``; none: all."""
    seed = config.getoption(SEED)
    if seed is not None and seed < 0:
        raise pytest.UsageError(f"--everyedge-seed={seed}, expected 0 or more")
    return Settings(seed=seed, simulator=config.getoption(SIMULATOR), only=only)
