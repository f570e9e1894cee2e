"""A ratio at which every digit of a scanned display is seen to take its carries.

A scan is not scaled down with the second, so that of many carries no digit is lit in the step that
follows: a carry that comes a step late would go by unseen. Which ones are seen follows from the
clocks of a step and of a turn alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import prod
from typing import Any

import numpy as np

from verify.bench import ResolvedCheck
from verify.results import CheckResult

__all__ = ["clearer_ratio"]

ENOUGH = 3
"""Carries of a digit that have to be seen, or all if it has fewer."""

MOST_CARRIES = 100_000
"""Of each digit so many are looked at."""

MARGIN_CYCLES = 16
"""So much of a step has to fall into a turn: latencies are shorter."""

LONGEST_CYCLES = 200_000_000
"""Of a whole trip; some seconds on Verilator."""


def clearer_ratio(
    check: ResolvedCheck, result: CheckResult, ratios: Iterable[int], limit: int | None
) -> int | None:
    """The first of ``ratios``, ascending, at which most is seen; None where ``check`` shows as much.

    ``limit``: clocks that may be played, None: some seconds' worth.
    """
    facts = {**check.options, **{fact.name: fact.value for fact in result.facts}}
    moduli, ratio = facts.get("modulo"), check.options.get("ratio")
    scans = [fact.value for fact in result.facts if fact.name == "scan"] + [check.options.get("scan")]
    scan = next((s for s in scans if isinstance(s, dict) and "dwell" in s), None)
    turns = sum(reference.width for reference in check.roles.get("select", ()))
    if not (scan and isinstance(moduli, list | tuple) and isinstance(ratio, int) and turns):
        return None
    spans = _spans(moduli, turns)
    if spans is None:
        return None
    states, dwell = prod(moduli), int(scan["dwell"])
    first, down = int(facts.get("scan_from_digit", 0)), facts.get("scan_direction") == "down"
    slots = [((first - digit) if down else (digit - first)) % turns for digit in range(turns)]

    def seen(clocks: int) -> tuple[int, int]:
        counts = [_seen(clocks, *digit, states, dwell, turns) for digit in zip(spans, slots, strict=True)]
        return min(counts), sum(counts)

    best, found = seen(ratio), None
    for wanted in sorted(r for r in ratios if ratio < r and r * states <= (limit or LONGEST_CYCLES)):
        if best[0] >= min(ENOUGH, states // max(spans)):
            break
        if (shown := seen(wanted)) > best:
            best, found = shown, wanted
    return found


def _spans(moduli: Sequence[Any], digits: int) -> list[int] | None:
    """Steps from one carry into a digit to the next; None where it is not known which digits there are."""
    if not all(isinstance(m, int) for m in moduli):
        return None
    spans, below = [], 1
    for modulo in moduli:
        places = digits if len(moduli) == 1 else digits // len(moduli)
        spans += [below * 10**place for place in range(places)]
        below *= modulo
    return spans if len(spans) == digits and spans[-1] <= below else None


def _seen(clocks: int, span: int, slot: int, states: int, dwell: int, turns: int) -> int:
    """How many carries into a digit, up to enough, come with its turn in the step that follows."""
    around = dwell * turns
    steps = max(states, around // clocks) + around // clocks  # as far as a whole trip goes
    at = (np.arange(1, min(steps // span, MOST_CARRIES) + 1) * span * clocks - slot * dwell) % around
    shown = (at < dwell - MARGIN_CYCLES) | (at + clocks > around + MARGIN_CYCLES) | (clocks >= around)
    return min(int(shown.sum()), ENOUGH)
