"""Standard output and error, made so that no text and no reader can bring the command down."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

__all__ = ["prepare_streams", "seal_streams"]


def prepare_streams() -> None:
    """Open what was closed (``>&-``), and escape what the encoding cannot say instead of failing."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 -- to the end
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def seal_streams() -> bool:
    """Flush for the last time; False when an output took no more. Python then has nothing to complain of."""
    good = True
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):
            good = False
            with Path(os.devnull).open("w", encoding="utf-8") as nowhere:
                os.dup2(nowhere.fileno(), stream.fileno())
    return good
