"""Of what kind a golden model is, asked once per class: protocols are slow to ask."""

from __future__ import annotations

from functools import cache
from typing import TypeGuard

from verify.models.golden import CombinationalModel, FollowingModel, GoldenModel, PlacedModel

__all__ = ["follows", "is_placed", "is_table"]


def is_table(model: GoldenModel) -> TypeGuard[CombinationalModel]:
    """It has no state."""
    return _offers(type(model), "table")


def follows(model: GoldenModel) -> TypeGuard[FollowingModel]:
    """What it leaves open is read off an observation."""
    return _offers(type(model), "follow")


def is_placed(model: GoldenModel) -> TypeGuard[PlacedModel]:
    """It goes by the cycles of one observation."""
    return _offers(type(model), "placed")


@cache
def _offers(kind: type, method: str) -> bool:
    return hasattr(kind, method)
