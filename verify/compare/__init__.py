"""Room: compare."""
