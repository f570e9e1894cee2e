"""How often every digit of a scanned display is lit on the board."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from fractions import Fraction

from verify.bench import Bench, ResolvedCheck, resolve
from verify.bench.schema import Check
from verify.errors import EveryedgeError
from verify.pictures import ScanRate
from verify.results import CheckResult

__all__ = ["with_scan_rate"]


def with_scan_rate(
    result: CheckResult, bench: Bench, check: Check, ran: ResolvedCheck, counts: Collection[Fraction] = ()
) -> CheckResult:
    """``result`` with the rate of its scan, where there is one and the clock of the board is known.

    ``ran``: the check as it was run. A dwell that the bench gives as an expression is evaluated at
    the parameters of the source, for a check may shorten it; a measured one is scaled back when it
    is one of ``counts``, which follow the clock.
    """
    select = ran.roles.get("select")
    dwell = _checked(result)
    if select is None or dwell is None or not ran.frequency_hz:
        return result
    digits = select[0].width
    on_board = _written(bench, check)
    shortened = on_board is not None and on_board != dwell * ran.speedup and on_board != dwell
    if on_board is None:
        follows = ran.speedup > 1 and any(round(count / ran.speedup) == dwell for count in counts)
        on_board = dwell * ran.speedup if follows else dwell
    period = on_board * digits
    rate = ScanRate(ran.frequency_hz / period, digits, period)
    notes = result.notes
    if shortened:
        notes = (*notes, f"the dwell is {on_board:,} clocks in the source, {dwell:,} in this check")
    return replace(result, scan=rate, notes=notes)


def _checked(result: CheckResult) -> int | None:
    """The dwell of the run, in clocks of the run."""
    for fact in result.facts:
        if fact.name == "scan" and isinstance(fact.value, dict) and isinstance(fact.value.get("dwell"), int):
            return int(fact.value["dwell"])
    return None


def _written(bench: Bench, check: Check) -> int | None:
    """The dwell that the bench gives, on the board and at the parameters of the source."""
    if "dwell" not in (check.expect.get("scan") or {}):
        return None
    for candidate in (check.model_copy(update={"parameters": {}}), check):
        try:
            scan = resolve(bench, candidate).options.get("scan") or {}
        except EveryedgeError:
            continue
        if isinstance(scan.get("dwell"), int):
            return int(scan["dwell"])
    return None
