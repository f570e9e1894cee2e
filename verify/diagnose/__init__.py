"""Diagnose: which fault reproduces everything that was observed."""
