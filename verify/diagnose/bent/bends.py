"""What can be wrong with one stage of a chain of counters."""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["STRAIGHT", "Bend"]


@dataclass(frozen=True, slots=True)
class Bend:
    """The rules of one stage, where they are not those of a proper chain.

    ``wrap_to``: value after its last one; None: the proper one. ``carry_at``: the value at which
    the next stage may step; None: the last one. ``late``: its step passes a register, which a clear
    or load empties (``late_emptied``) and a pause holds (``late_waits``). ``stale``: so late that it is
    the one of a whole step ago. ``restless``: it steps with every clock in which those below carry.
    ``heedless``: it steps
    in a pause too. ``waits_for``: the stages that must be at their carry value; None: all below.
    ``backwards``: it counts the other way. ``stuck``: it never steps. ``clear``, ``load``: ``kept``
    as it should be, ``holds`` it ignores the control and stands still meanwhile, or it ``steps`` on.
    ``reset``: ``kept``, it ``holds`` its value through one, or ``waits`` for the next clock edge.
    ``unturned``: it does not take part when the number as a
    whole wraps.
    """

    wrap_to: int | None = None
    carry_at: int | None = None
    late: bool = False
    late_emptied: bool = True
    late_waits: bool = False
    stale: bool = False
    restless: bool = False
    heedless: bool = False
    waits_for: tuple[int, ...] | None = None
    backwards: bool = False
    stuck: bool = False
    clear: str = "kept"
    load: str = "kept"
    reset: str = "kept"
    unturned: bool = False

    def free_below(self, stage: int) -> int:
        """If this is stage ``stage``: how many of the lowest ones keep the rules until all of them carry.

        What only a reset, clear or load brings to light does not count.
        """
        if replace(self, clear="kept", load="kept", reset="kept", unturned=False) == STRAIGHT:
            return ALL_STAGES
        if self.waits_for is None:
            return stage
        below = tuple(range(len(self.waits_for)))
        return min(stage, len(below)) if self.waits_for == below else 0


ALL_STAGES = 1 << 30
"""More than any chain has."""

STRAIGHT = Bend()
"""Nothing is wrong."""
