"""The widths that a family is asked to fit."""

from __future__ import annotations

from verify.bench import ResolvedCheck
from verify.models.family import Shape

__all__ = ["shape_of"]


def shape_of(check: ResolvedCheck) -> Shape:
    """Role -> width of each reference bound to it."""
    return {role: tuple(ref.width for ref in refs) for role, refs in check.roles.items()}
