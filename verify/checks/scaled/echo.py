"""What showed a difference at one ratio, to be driven at another before the ratio is blamed for it."""

from __future__ import annotations

from verify.checks.runner import Outcome
from verify.stimulus import Stage
from verify.timescale.stretching import stretched

__all__ = ["echo_of"]


def echo_of(outcome: Outcome, before: int, after: int) -> tuple[Stage, ...]:
    """The stimulus that fails at a period of ``before`` clocks, for one of ``after``; () without one."""
    if outcome.confirmed is None:
        return ()
    return (Stage("what differs, at another ratio", stretched(outcome.confirmed.stimulus, before, after)),)
