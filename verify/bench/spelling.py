"""The nearest right spelling, and how values are shown in errors."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any

__all__ = ["listed", "nearest", "shown"]


def nearest(found: str, known: Iterable[str]) -> str | None:
    """Advice naming the known word that is most like ``found``, None when nothing is."""
    by_lower = {word.lower(): word for word in known}
    near = difflib.get_close_matches(found.lower(), by_lower, 1)
    return f'did you mean "{by_lower[near[0]]}"?' if near else None


def listed(words: Iterable[str], none: str = "none") -> str:
    """``a, b, c``."""
    return ", ".join(words) or none


def shown(value: Any) -> str:
    """A value as TOML writes it; lists and tables by kind when they are long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (list, tuple)):
        text = "[" + ", ".join(map(shown, value)) + "]"
        return text if len(text) <= 60 else f"a list of {len(value)}"
    if isinstance(value, Mapping):
        if not value:
            return "an empty table"
        text = "{ " + ", ".join(f"{key} = {shown(v)}" for key, v in value.items()) + " }"
        return text if len(text) <= 60 else "a table"
    return str(value)
