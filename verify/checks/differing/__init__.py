"""A check that differs: made small, shown again, explained, and pointed at."""
