"""Golden models that do one thing wrong."""
