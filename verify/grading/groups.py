"""Submissions that go wrong in the same way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from verify.grading.graded import Graded

__all__ = ["Group", "alike"]


@dataclass(frozen=True, slots=True)
class Group:
    """``members``: names of the submissions in which check ``check`` goes wrong as ``what`` says."""

    check: str
    what: str
    verdict: str
    members: tuple[str, ...]


def alike(graded: Iterable[Graded], *, at_least: int = 1) -> tuple[Group, ...]:
    """All ways to go wrong that ``at_least`` so many submissions share, the commonest first."""
    found: dict[tuple[str, str], list[str]] = {}
    told: dict[tuple[str, str], tuple[str, str]] = {}
    for each in graded:
        for check in each.checks:
            if check.likeness:
                key = (check.name, check.likeness)
                found.setdefault(key, []).append(each.name)
                told.setdefault(key, (check.what, check.verdict))
    groups = [Group(key[0], *told[key], tuple(members)) for key, members in found.items()]
    return tuple(
        sorted(
            (group for group in groups if len(group.members) >= at_least),
            key=lambda group: (-len(group.members), group.check, group.what),
        )
    )
