"""Check Verilog against golden models on every clock edge.

    import verify

    run = verify.check_bench("bench.toml", verify.Settings(seed=7))
    for check in run.checks:
        print(check.name, check.verdict.value, check.reason)
    if run.verdict is not verify.Verdict.PASS:
        print(verify.report_text(run))

A run ends in values, not in text: :class:`~verify.results.RunResult` holds one
:class:`~verify.results.CheckResult` per check, with its verdict, the facts it rests on and, for a
failure, the first difference and the cycles around it. What cannot be run raises an
:class:`~verify.errors.EveryedgeError`. :func:`simulate` opens the design of one check, to be played
with from tests of your own. The names below are the library; everything else may change.

Importing this package loads nothing: each name is looked up when it is first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from verify.checks import check_bench, check_verilog, replay
    from verify.checks.settings import Listener, Settings
    from verify.errors import (
        BenchError,
        DesignError,
        EveryedgeError,
        Place,
        SimulationFault,
        ToolError,
    )
    from verify.properties import DesignSimulation, Played, simulate
    from verify.report.telling import report_text
    from verify.results import (
        CheckResult,
        Coverage,
        CoverageItem,
        Excerpt,
        Explanation,
        Fact,
        Failure,
        Mismatch,
        RunResult,
        Speedup,
        Verdict,
    )

    __version__: str

__all__ = [
    "BenchError",
    "CheckResult",
    "Coverage",
    "CoverageItem",
    "DesignError",
    "DesignSimulation",
    "EveryedgeError",
    "Excerpt",
    "Explanation",
    "Fact",
    "Failure",
    "Listener",
    "Mismatch",
    "Place",
    "Played",
    "RunResult",
    "Settings",
    "SimulationFault",
    "Speedup",
    "ToolError",
    "Verdict",
    "__version__",
    "check_bench",
    "check_verilog",
    "replay",
    "report_text",
    "simulate",
]

_ROOMS = {
    "verify.checks": ("check_bench", "check_verilog", "replay"),
    "verify.checks.settings": ("Listener", "Settings"),
    "verify.errors": ("BenchError", "DesignError", "EveryedgeError", "Place", "SimulationFault", "ToolError"),
    "verify.properties": ("DesignSimulation", "Played", "simulate"),
    "verify.report.telling": ("report_text",),
    "verify.results": (
        "CheckResult", "Coverage", "CoverageItem", "Excerpt", "Explanation", "Fact", "Failure", "Mismatch",
        "RunResult", "Speedup", "Verdict",
    ),
}  # fmt: skip


def __getattr__(name: str) -> Any:
    if name == "__version__":
        return import_module("importlib.metadata").version("everyedge")
    for room, names in _ROOMS.items():
        if name in names:
            return getattr(import_module(room), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
