"""The clock cycle of the harness, in picoseconds.

Cycle *k* is counted from when the clock goes to its inactive level, so that what is driven early in it
lies before its zero. Nothing that the harness does shares a
time step with something else it does, so there are no races, whatever the design's coding style.

The cycle is far longer than any ``#`` delay found in synthesisable code: delays written there are
meant to be short against the clock, and an event-driven simulator does not pay for idle time.
"""

__all__ = ["ACTIVE_PS", "DRIVE_ONLY_PS", "DRIVE_PS", "PERIOD_PS", "SAMPLE_PS"]

PERIOD_PS = 1_000_000
DRIVE_ONLY_PS = 50_000
"""From one row that only drives to whatever comes next; it lengthens its half of the cycle."""
DRIVE_PS = 200_000
"""Inputs change."""
SAMPLE_PS = 499_999
"""Outputs are sampled: IEEE 1800-2017 16.5.1 takes the value just before the time step of the edge."""
ACTIVE_PS = 500_000
"""The active edge; the inactive one is at ``PERIOD_PS``, the start of the next cycle."""
