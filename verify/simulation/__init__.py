"""Room: simulation."""
