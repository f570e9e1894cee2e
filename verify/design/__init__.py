"""Room: design."""
