"""Macros that tools define of their own accord: a design sees none of them, as on a board.

Otherwise it could be one thing to its reader here, another to a simulator, and a third on the board.
"""

from __future__ import annotations

from collections.abc import Container

__all__ = ["PREDEFINED", "undefined"]

_COVERAGE = (
    "START STOP RESET CHECK MODULE HIER ASSERTION FSM_STATE STATEMENT TOGGLE OVERFLOW ERROR NOCOV OK PARTIAL"
)
PREDEFINED = (
    "__ICARUS__", "SYSTEMVERILOG", "VERILATOR", "VERILATOR_TIMING", "coverage_block_off", "verilator",
    "verilator3", "__slang__", "__slang_major__", "__slang_minor__",
    *(f"SV_COV_{name}" for name in _COVERAGE.split()),
)  # fmt: skip
"""Of Icarus Verilog 11, Verilator 5.48 and slang; those of IEEE 1800-2017 40.3.1 among them."""


def undefined(wanted: Container[str]) -> str:
    """Verilog that takes them away, except those that the bench defines itself."""
    return "".join(f"`undef {name}\n" for name in PREDEFINED if name not in wanted)
