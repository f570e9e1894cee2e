"""Columns of unsigned values: int64 where they fit, Python integers where they do not."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Column", "column", "full", "width_mask"]

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


def width_mask(width: int) -> int:
    """An integer with the lowest ``width`` bits set."""
    return (1 << width) - 1
