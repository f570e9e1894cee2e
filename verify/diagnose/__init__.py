"""Diagnose: what the steps of a computation are, worked out for a reader."""
