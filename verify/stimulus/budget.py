"""How much may be played."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Budget"]


FAR = 4
"""The part of the longest run that is worth going to one place."""


@dataclass(frozen=True, slots=True)
class Budget:
    """Limits of one check's stimuli.

    ``trip_cycles``: the longest single run (one trip through all states). ``aimed_cycles``: all
    bursts together that aim a control at a landmark. ``exhaustive_bits``: inputs of up to so many
    bits together are driven with every value. ``transitions``: random changes of a data input.
    ``examples`` generated ones, of about ``example_cycles`` each.
    """

    trip_cycles: int = 4_000_000
    aimed_cycles: int = 200_000
    exhaustive_bits: int = 20
    transitions: int = 10_000
    examples: int = 200
    example_cycles: int = 400

    @property
    def far_cycles(self) -> int:
        """For going once to what lies far from the start: the tens of hours, a million clocks on Icarus."""
        return max(2 * self.aimed_cycles, self.trip_cycles // FAR)
