"""Read those options of a golden model that are lists."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from verify.models.family import OptionError

__all__ = ["names_in", "numbers_in"]


def numbers_in(
    given: Mapping[str, Any], key: str, *, low: int, high: int | None = None, count: int | None = None
) -> tuple[int, ...] | None:
    """A list of integers from ``low`` to ``high``, ``count`` of them; None when it was left out.

    Raises :class:`OptionError` for anything else.
    """
    value = given.get(key)
    if value is None:
        return None
    span = f"integers from {low}" + ("" if high is None else f" to {high}")
    if not isinstance(value, (list, tuple)) or not value:
        raise OptionError(key, repr(value), f"a list of {span}")
    for item in value:
        if isinstance(item, bool) or not isinstance(item, int) or item < low or (high or item) < item:
            raise OptionError(key, repr(item), span)
    if count is not None and len(value) != count:
        raise OptionError(key, f"{len(value)} numbers", f"{count}, fastest first")
    return tuple(value)


def names_in(given: Mapping[str, Any], key: str, allowed: tuple[str, ...]) -> tuple[str, ...]:
    """A list of different names among ``allowed``; () when it was left out.

    Raises :class:`OptionError` for anything else.
    """
    value = given.get(key)
    if value is None:
        return ()
    among = "names among " + ", ".join(allowed)
    if not isinstance(value, (list, tuple)):
        raise OptionError(key, repr(value), f"a list of {among}")
    for item in value:
        if item not in allowed:
            raise OptionError(key, repr(item), among)
    if len(set(value)) != len(value):
        raise OptionError(key, repr(list(value)), "each name once")
    return tuple(value)
