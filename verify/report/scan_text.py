"""The refresh rate of a scanned display in words."""

from __future__ import annotations

from verify.pictures import LEAST_REFRESH_HZ, ScanRate
from verify.report.figures import count

__all__ = ["hertz", "scan_text"]


def hertz(frequency_hz: float) -> str:
    """``250 Hz``, ``1.5 kHz``: three digits."""
    for limit, unit in ((1e6, "MHz"), (1e3, "kHz")):
        if frequency_hz >= limit:
            return f"{frequency_hz / limit:.3g} {unit}"
    return f"{frequency_hz:.3g} Hz"


def scan_text(scan: ScanRate | None) -> tuple[str, ...]:
    """One sentence; none when nothing is scanned or the board's clock is not known."""
    if scan is None:
        return ()
    text = (
        f"each digit is lit at {hertz(scan.refresh_hz)}, all {scan.digits} of them "
        f"in {count(scan.period_cycles)} clocks"
    )
    held = f"about {LEAST_REFRESH_HZ} Hz keeps it from flickering (common practice, no source)"
    return (f"{text}: it flickers; {held}" if scan.flickers else f"{text}; {held}",)
