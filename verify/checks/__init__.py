"""Checks: runs what a bench asks for, from files to verdicts. Importing it loads no engine."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from verify.checks.settings import Listener, Settings, SilentListener

if TYPE_CHECKING:
    from verify.checks.bench_run import check_bench, replay

__all__ = ["Listener", "Settings", "SilentListener", "check_bench", "replay"]


def __getattr__(name: str) -> Any:
    if name in ("check_bench", "replay"):
        return getattr(import_module("verify.checks.bench_run"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
