"""Columns of unsigned values: int64 where they fit, Python integers where they do not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Column", "changed_rows", "column", "full", "width_mask"]

INT64_BITS = 62
"""Widest signal held in int64; one spare bit keeps sums and shifts of two values exact."""

Column = NDArray[Any]
"""One value per row: dtype int64 for widths up to 62 bits, object (Python int) above."""


def column(values: Iterable[int] | NDArray[Any], width: int) -> Column:
    """A read-only column for ``width``-bit values; an array of the right dtype is not copied."""
    dtype: Any = np.int64 if width <= INT64_BITS else object
    if not isinstance(values, np.ndarray):
        values = list(values)
    result = np.asarray(values, dtype=dtype)
    if result.flags.writeable:
        result = result.view()
        result.flags.writeable = False
    return result


def full(rows: int, value: int, width: int) -> Column:
    """A column of ``rows`` equal values."""
    dtype: Any = np.int64 if width <= INT64_BITS else object
    return column(np.full(rows, value, dtype=dtype), width)


def changed_rows(rows: int, columns: Sequence[Column]) -> NDArray[np.bool_]:
    """Which of ``rows`` rows say something new: the first, and each with a value unlike that above it."""
    changed = np.zeros(rows, dtype=bool)
    changed[:1] = True
    for values in columns:
        changed[1:] |= values[1:] != values[:-1]
    return changed


def width_mask(width: int) -> int:
    """An integer with the lowest ``width`` bits set."""
    return (1 << width) - 1
