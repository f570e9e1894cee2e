"""What reading a design at two clock frequencies brings to light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from verify.errors import Place

__all__ = ["Finding", "Kind"]

Kind = Literal[
    "becomes_zero",
    "branch",
    "fixed",
    "inexact",
    "loses_remainder",
    "negative",
    "not_elaborated",
    "not_passed",
    "not_proportional",
    "overflow",
    "too_narrow",
    "too_short",
    "truncated",
    "unused",
]
"""``becomes_zero``, ``loses_remainder``, ``negative``, ``not_proportional``, ``too_short``: a constant
that is not the native one scaled down, or too little to count. ``branch``: other statements or
generate blocks. ``too_narrow``, ``truncated``, ``overflow``: bits are missing on the board.
``fixed``, ``not_passed``, ``unused``: what does not follow the parameter. ``inexact``: a period that
is not the nominal one on the board either. ``not_elaborated``: no design at that value."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One fact about a design and its clock parameter.

    ``text``: one sentence with the numbers. ``definite``: on the board it is wrong for certain.
    ``unsound``: a run at the scaled parameter does not speak for the board. ``native_clocks``: clocks
    from reset after which it shows on the board; None when a native run cannot answer it.
    """

    kind: Kind
    text: str
    place: Place | None
    definite: bool = False
    unsound: bool = True
    native_clocks: int | None = None
