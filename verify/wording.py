"""How values and names are put into words, wherever they are printed."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["enumerated", "toml_text"]


def enumerated(names: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``; there must be one."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def toml_text(value: object) -> str:
    """A value as a bench would hold it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(toml_text(item) for item in value) + "]"
    if isinstance(value, dict) and value:
        return "{ " + ", ".join(f"{key} = {toml_text(item)}" for key, item in value.items()) + " }"
    return str(value)
