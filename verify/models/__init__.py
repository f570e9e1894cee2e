"""Golden models: what should happen. Imports numpy only."""
