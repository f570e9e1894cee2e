"""Room: stimulus."""
