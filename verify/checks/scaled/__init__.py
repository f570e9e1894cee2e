"""A check whose clock is scaled down, and what shows that it may be."""
