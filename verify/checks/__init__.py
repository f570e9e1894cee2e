"""Checks: runs what a bench asks for, from files to verdicts. Importing it loads no engine."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from verify.checks.settings import Listener, Settings, SilentListener

if TYPE_CHECKING:
    from verify.checks.bench_run import check_bench, replay
    from verify.checks.benchless.inferred_groups import check_verilog

__all__ = ["Listener", "Settings", "SilentListener", "check_bench", "check_verilog", "replay"]

_HOMES = {
    "check_bench": "verify.checks.bench_run",
    "check_verilog": "verify.checks.benchless.inferred_groups",
    "replay": "verify.checks.bench_run",
}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
