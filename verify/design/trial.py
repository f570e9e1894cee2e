"""Reads a design in a process of its own, so that one that exhausts the reader ends only that.

Run as ``python -m verify.design.trial`` with a JSON list of readings on standard input. Status 0: they
came to an end, with an error of the design or without; what the error is, the caller finds out.
"""

from __future__ import annotations

import contextlib
import json
import sys

from verify.design.read import read_design
from verify.errors import EveryedgeError

__all__ = ["main"]


def main() -> None:
    """Make every reading."""
    for reading in json.load(sys.stdin):
        with contextlib.suppress(EveryedgeError):
            read_design(
                reading["sources"],
                include=reading["include"],
                defines=reading["defines"],
                top=reading["top"],
                parameters=reading["parameters"],
            )


if __name__ == "__main__":
    main()
