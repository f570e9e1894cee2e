"""The lines of a display as a bench binds them."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from verify.models.display_layout import Layout, arrange, fits
from verify.models.display_scan_candidates import ScanOptions
from verify.models.display_scanned import SharedLines
from verify.models.display_static import Panel
from verify.models.family import OptionError, Shape
from verify.models.option_values import OptionValues, width_of
from verify.models.segment_wires import SEGMENTS, SegmentWires

__all__ = ["own_lines", "panel_and_layout", "shared_lines"]


def _wires(values: OptionValues, role: str, wires: int) -> SegmentWires:
    low, reverse = values.choice("active") == "low", values.choice("order") == "a_msb"
    return SegmentWires((role,), SegmentWires.checked(role, wires), reverse, low)


def panel_and_layout(
    shape: Shape, values: OptionValues, moduli: tuple[int, ...] | None, size: int | None
) -> tuple[Panel, Layout]:
    """The lines of a static display and what they show."""
    panel = own_lines(shape, values, lambda digits: fits(digits, moduli, size))
    return panel, arrange(len(panel.wires), moduli, size)


def own_lines(shape: Shape, values: OptionValues, suits: Callable[[int], bool]) -> Panel:
    """The lines of a display whose digits share none; ``suits``: whether it may have so many digits."""
    if shape.get("select"):
        raise OptionError(
            "select", "a port beside digits", "segments, which the selects share among the digits"
        )
    if shape.get("digits"):
        wires = tuple(_wires(values, "digits", width) for width in shape["digits"])
        packed = False
    else:
        packed, width = True, width_of(shape, "segments") or 0
        wires = next(_packed(values, width, suits), ())
        if not wires:
            raise OptionError("segments", f"a port of {width} bits without select", "7 or 8 bits per digit")
    point = width_of(shape, "point")
    if point not in (None, len(wires)):
        raise OptionError("point", f"a port of {point} bits", f"{len(wires)}, one per digit")
    return Panel(wires, packed, point is not None)


def _packed(
    values: OptionValues, width: int, suits: Callable[[int], bool]
) -> Iterator[tuple[SegmentWires, ...]]:
    for each in (SEGMENTS, SEGMENTS + 1):
        if width % each == 0 and suits(width // each):
            yield (_wires(values, "segments", each),) * (width // each)


def shared_lines(shape: Shape, values: OptionValues) -> tuple[SharedLines, ScanOptions]:
    """The lines of a scanned display, the selects as active high, and the table ``scan``."""
    wires = _wires(values, "segments", width_of(shape, "segments") or 0)
    digits = width_of(shape, "select") or 0
    if width_of(shape, "point") not in (None, 1):
        raise OptionError("point", f"a port of {width_of(shape, 'point')} bits", "one line for all digits")
    options = ScanOptions.read(values.table("scan") or {})
    return SharedLines(wires, options.lines(digits), bool(shape.get("point"))), options
