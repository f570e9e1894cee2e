"""Everything that checks need, loaded once in a process that then forks for each of them."""

from __future__ import annotations

import contextlib

from verify.errors import ToolError

__all__ = ["LOAD", "load"]

LOAD = "verify.checks.engine:load"
"""For a pool of workers."""


def load() -> None:
    """Load it, and ask this machine what stays true of it."""
    import verify.checks.bench_run  # noqa: PLC0415, F401 -- for its modules
    from verify.simulation.process import python_library  # noqa: PLC0415 -- as above
    from verify.simulation.sandbox import bubblewrap  # noqa: PLC0415 -- as above

    bubblewrap()
    with contextlib.suppress(ToolError):  # told to whoever needs it
        python_library()
