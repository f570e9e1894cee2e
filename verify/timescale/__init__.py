"""Timescale: how far a design's clock-frequency parameter may be scaled down, and why."""
