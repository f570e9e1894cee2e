"""Nothing of a simulation outlives its test."""

from __future__ import annotations

import os
from collections.abc import Iterator

import psutil
import pytest


@pytest.fixture(autouse=True)
def nothing_is_left_running() -> Iterator[None]:
    """Every test of this folder also shows that the simulator is gone afterwards."""
    before = {p.pid for p in psutil.Process(os.getpid()).children(recursive=True)}
    yield
    after = [p for p in psutil.Process(os.getpid()).children(recursive=True) if p.pid not in before]
    assert [p.name() for p in after if p.status() != psutil.STATUS_ZOMBIE] == []
