"""Tables of constants, looked up by one value or by a whole column of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from verify.models.golden import select
from verify.signals import Column

__all__ = ["NotInTableError", "look_up", "look_up_all"]


class NotInTableError(LookupError):
    """A value that the table has nothing for, as a faulty model may make one."""


def look_up(table: Sequence[int], index: Any) -> Any:
    """``table[index]``; a symbolic index becomes a chain of choices, the last entry standing for the rest."""
    if isinstance(index, int):
        if index >= len(table):
            raise NotInTableError(index)
        return table[index]
    found: Any = table[-1]
    for position in range(len(table) - 2, -1, -1):
        found = select(index == position, table[position], found)
    return found


def look_up_all(table: Sequence[int], indices: Column) -> Column:
    """``table[i]`` for every ``i`` of a column of indices; entries of at most 62 bits."""
    try:
        return np.asarray(table, dtype=np.int64)[indices.astype(np.int64)]
    except IndexError:
        raise NotInTableError(int(indices.max())) from None
