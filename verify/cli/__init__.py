"""Room: cli. Words typed become calls; nothing heavy is loaded before it is known what is wanted."""

from __future__ import annotations

import sys

from verify.cli.status import INTERRUPTED

__all__ = ["main"]


def main() -> None:
    """The command ``everyedge``: runs, and leaves with its exit status."""
    try:
        from verify.cli.entry import run  # noqa: PLC0415 -- `import verify.cli` stays free of click

        run()
    except KeyboardInterrupt:  # while it loads, before signals are heard otherwise
        sys.exit(INTERRUPTED)
