"""Numbers as a person reads them: counts, rates, times, and text that is safe to print."""

from __future__ import annotations

import contextlib
import os
import unicodedata
from pathlib import Path

__all__ = ["clean", "count", "duration", "path_text", "plural", "rate", "signal_time"]


def count(number: int) -> str:
    """``1204`` as ``1,204``."""
    return f"{number:,}"


def plural(number: int, noun: str, many: str | None = None) -> str:
    """``1 clock``, ``2 clocks``."""
    return f"{count(number)} {noun if number == 1 else many or noun + 's'}"


def rate(clocks: int, seconds: float) -> str:
    """Clocks per second, three digits: ``512 k clocks/s``; empty when there is nothing to say."""
    if clocks <= 0 or seconds <= 0:
        return ""
    value, unit = clocks / seconds, ""
    for larger in ("k", "M", "G"):
        if value < 999.5:
            break
        value, unit = value / 1000, larger
    number = f"{value:.3g}" if value < 999.5 else count(round(value))
    return f"{number} {unit} clocks/s" if unit else f"{number} clocks/s"


def duration(seconds: float) -> str:
    """Wall time: ``0.4 s``, ``12 s``, ``2 min 05 s``, ``1 h 02 min``."""
    if seconds < 9.95:
        return f"{max(seconds, 0):.1f} s"
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    if minutes < 60:
        return f"{minutes} min {rest:02d} s"
    return f"{minutes // 60} h {minutes % 60:02d} min"


def signal_time(time_ns: float) -> str:
    """Time on the board, never rounded coarser than a nanosecond below a second.

    From a minute on the hours, minutes and seconds follow, as a clock would show them.
    """
    for limit, unit, places in ((1e3, "ns", 3), (1e6, "µs", 3), (1e9, "ms", 6)):
        if abs(time_ns) < limit:
            return f"{_trimmed(time_ns * 1e3 / limit, places)} {unit}"
    seconds = time_ns / 1e9
    text = f"{_trimmed(seconds, 9 if seconds < 1000 else 6)} s"
    if seconds < 60:
        return text
    whole = int(seconds)
    return f"{text} (in {whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d})"


def _trimmed(number: float, places: int) -> str:
    text = f"{number:,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def clean(text: str) -> str:
    """One line of somebody else's text, harmless to a terminal and to XML.

    Tabs become spaces; control characters, which could move the cursor or rewrite the screen, and
    halves of surrogate pairs from file names become visible escapes.
    """
    text = text.expandtabs(4)
    if text.isascii() and text.isprintable():
        return text
    return "".join(c if _harmless(c) else c.encode("unicode_escape").decode("ascii") for c in text)


def _harmless(character: str) -> bool:
    return unicodedata.category(character) not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def path_text(path: Path) -> str:
    """A path as short as it can be said: without detours, and relative when it lies below the user."""
    shorter = path
    with contextlib.suppress(ValueError, OSError, RuntimeError):
        # A detour over a link must stay: dropping it would name another file.
        straight = Path(os.path.normpath(path))
        shorter = straight if straight.resolve() == path.resolve() else path
        shorter = shorter.relative_to(Path.cwd()) if shorter.is_absolute() else shorter
    return clean(str(shorter))
