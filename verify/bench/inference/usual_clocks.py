"""A clock that nothing names: what the code counts in a second, if that is the frequency of a usual one."""

from __future__ import annotations

import re

from verify.bench.inference.code_text import without_comments
from verify.bench.inference.quantities import Frequency
from verify.bench.inference.view import View

__all__ = ["usual_clock"]

_MEGAHERTZ = frozenset(
    {1, 2, 4, 5, 6, 8, 10, 12, 16, 20, 24, 25, 27, 32, 33, 40, 48, 50, 60, 64, 66, 72, 75, 80, 96}
    | {100, 120, 125, 144, 150, 200}
)
"""Of oscillators on boards: common practice, no source. A slip by one clock makes none of them."""

_LONG_CLOCKS = 1_000
"""What is compared with less counts something else."""

_WAVE = re.compile(r"\b(\w+)\s*<?=\s*[~!]\s*\(?\s*\1\b")
"""Something inverts itself: half a period is counted, or a whole one, and nobody can tell which was meant."""


def usual_clock(view: View, rate: int) -> Frequency | None:
    """The clock of which the code counts ``1 / rate`` seconds; None where it does not speak for itself."""
    modules = (view.module, *view.children)
    long = [c for m in modules for c in m.comparisons if c.value >= _LONG_CLOCKS]
    counts = {c.states for c in long}
    clocks = {view.clock.port} if view.clock else set()
    derived = any(register.clock not in clocks for register in view.module.registers)
    if len(counts) != 1 or derived or _WAVE.search(without_comments(view.text)):
        return None
    hertz = counts.pop() * rate
    if hertz % 10**6 or hertz // 10**6 not in _MEGAHERTZ:
        return None
    text = (
        f"no name says it, but {long[0].signal} goes to {long[0].value:,}, which is right for a clock of "
        f"{hertz // 10**6} MHz"
    )
    return Frequency(hertz, text, long[0].place)
