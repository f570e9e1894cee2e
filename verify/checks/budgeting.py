"""How much is played."""

from __future__ import annotations

from dataclasses import replace

from verify.checks.settings import Settings
from verify.stimulus import Budget

__all__ = ["LONG_LOOK_CYCLES", "THOROUGH_TRIP_CYCLES", "budget_for", "budget_on_verilator"]

LONG_LOOK_CYCLES = 3_000_000
"""A longer first look belongs to a ratio that nothing scales down; Verilator plays it."""

NATIVE_TRIP_CYCLES = 450_000_000
"""The longest run of a ratio that nothing scales down: two periods of a clock of 200 MHz."""

THOROUGH_TRIP_CYCLES = 20_000_000_000
"""The same when time is no matter: about a quarter of an hour."""


def budget_for(settings: Settings) -> Budget:
    """The usual budget with what the caller asked for."""
    usual = Budget()
    trip = usual.trip_cycles if settings.cycles_limit is None else settings.cycles_limit
    examples = usual.examples if settings.examples is None else settings.examples
    return Budget(trip_cycles=trip, aimed_cycles=min(usual.aimed_cycles, trip), examples=examples)


def budget_on_verilator(settings: Settings) -> Budget:
    """The same for a ratio that nothing scales down, where Verilator plays it."""
    if settings.cycles_limit is not None:
        return budget_for(settings)
    longest = THOROUGH_TRIP_CYCLES if settings.thorough else NATIVE_TRIP_CYCLES
    return replace(budget_for(settings), trip_cycles=longest)
