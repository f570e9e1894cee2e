"""Exit statuses: a contract with scripts."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from verify.report.outcome import Outcome

__all__ = ["INTERRUPTED", "NOT_STARTED", "OUTPUT_CLOSED", "status_of"]

NOT_STARTED = 2
"""Bad words, bad bench, Verilog that does not compile, something missing on this machine."""

INTERRUPTED, OUTPUT_CLOSED = 130, 141
"""As shells report an end by SIGINT and SIGPIPE: 128 and the number of the signal."""

_BY_VERDICT = {"pass": 0, "fail": 1, "error": NOT_STARTED, "undecided": 3}


def status_of(outcome: Outcome) -> int:
    """0 all pass, 1 something fails, 2 something could not start, 3 undecided."""
    return _BY_VERDICT[outcome.verdict.value]
