"""What can be wrong with one stage of a chain of counters."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["STRAIGHT", "Bend"]


@dataclass(frozen=True, slots=True)
class Bend:
    """The rules of one stage, where they are not those of a proper chain.

    ``wrap_to``: value after its last one; None: the proper one. ``carry_at``: the value at which
    the next stage may step; None: the last one. ``late``: its step passes a register, which a clear
    or load empties (``late_emptied``) and a pause holds (``late_waits``). ``heedless``: it steps
    in a pause too. ``waits_for``: the stages that must be at their carry value; None: all below.
    ``backwards``: it counts the other way. ``stuck``: it never steps. ``clear``, ``load``: ``kept``
    as it should be, ``holds`` it ignores the control and stands still meanwhile, or it ``steps`` on.
    ``unreset``: a reset leaves it as it is. ``unturned``: it does not take part when the number as a
    whole wraps.
    """

    wrap_to: int | None = None
    carry_at: int | None = None
    late: bool = False
    late_emptied: bool = True
    late_waits: bool = False
    heedless: bool = False
    waits_for: tuple[int, ...] | None = None
    backwards: bool = False
    stuck: bool = False
    clear: str = "kept"
    load: str = "kept"
    unreset: bool = False
    unturned: bool = False


STRAIGHT = Bend()
"""Nothing is wrong."""
