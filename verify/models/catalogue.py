"""Every kind of golden model, by the name that a bench gives it."""

from __future__ import annotations

from collections.abc import Mapping

from verify.models import bcd, counter, display, divider, segments, timer
from verify.models.family import Family

__all__ = ["FAMILIES"]

FAMILIES: Mapping[str, Family] = {
    module.FAMILY.name: module.FAMILY for module in (divider, counter, bcd, segments, timer, display)
}
