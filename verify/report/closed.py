"""The end of an output that somebody else read."""

from __future__ import annotations

__all__ = ["OutputClosed"]


class OutputClosed(BaseException):
    """Whoever read the output has gone (``| head``). Like an interrupt, nothing in between catches it."""
