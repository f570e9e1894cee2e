"""One line for each thing that a watch has to say."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable

from rich.cells import cell_len
from rich.text import Text

from verify.report.figures import duration, plural
from verify.report.look import MARKS, VERDICT_STYLES, fitted, line
from verify.report.summary import short_text
from verify.results import CheckResult, Verdict

__all__ = ["change_line", "notice_line", "tally_line"]

CHANGE = 20
"""Cells of the longest change: ``undecided → fail``, and its mark."""


def change_line(check: CheckResult, before: Verdict | None, width: int) -> Text:
    """The verdict of a check, with the one before where it differs."""
    now = check.verdict.value
    change = now if before in (None, check.verdict) else f"{before.value if before else ''} → {now}"
    head = f"{MARKS[check.verdict]} {change}"
    clock = _clock()
    room = max(width - len(clock) - CHANGE - 2, 20)
    name = fitted(check.name, max(room // 2, 12))
    seconds = f"  {duration(check.seconds)}" if check.seconds else ""
    text = short_text(check, max(room - cell_len(name) - 2 - len(seconds), 8))
    style = VERDICT_STYLES[check.verdict] if before is not check.verdict else "dim"
    return line((clock, "dim"), (head.ljust(CHANGE), style), (name, "bold"), f"  {text}", (seconds, "dim"))


def notice_line(text: str, checks: int, width: int) -> Text:
    """What has changed, and how many checks that is for."""
    doing = f": checking {plural(checks, 'check')} again" if checks else ""
    return line((_clock(), "dim"), (fitted(f"{text or 'saved'}{doing}", width - 9), "dim"))


def tally_line(verdicts: Iterable[Verdict], what: str) -> Text:
    """How many checks stand how."""
    tally = Counter(verdicts)
    parts = [f"{tally[verdict]} {verdict.value}" for verdict in Verdict if tally[verdict]]
    return line((_clock(), "dim"), (f"{what}: {', '.join(parts) or 'nothing checked yet'}", "dim"))


def _clock() -> str:
    return time.strftime("%H:%M:%S ")
