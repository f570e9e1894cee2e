"""The text of a module without what only people read."""

from __future__ import annotations

import re

__all__ = ["without_comments", "without_ranges"]


def without_comments(text: str) -> str:
    """The code alone."""
    return re.sub(r"//[^\n]*|/\*.*?\*/", "", text, flags=re.DOTALL)


def without_ranges(text: str) -> str:
    """The code alone, and none of its brackets, in which a minus steps nothing."""
    return re.sub(r"//[^\n]*|/\*.*?\*/|\[[^\]]*\]", "", text, flags=re.DOTALL)
