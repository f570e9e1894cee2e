"""Timescale: how far a design's clock-frequency parameter may be scaled down, and why."""

from verify.timescale.factor import choose_factor

__all__ = ["choose_factor"]
