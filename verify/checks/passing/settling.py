"""What would settle a check that nothing was told by."""

from __future__ import annotations

from verify.models.golden import CombinationalModel, Drivable, GoldenModel, Guided

__all__ = ["orders_when_idle"]


def orders_when_idle(model: GoldenModel) -> tuple[str, ...]:
    """For stimuli under which the golden model keeps all its outputs as they are."""
    if isinstance(model, CombinationalModel):
        limits = model.limits if isinstance(model, Drivable) else {}
        fixed = [s.name for s in model.inputs if limits.get(s.name, s.mask) == 0]
        where = f" of {', '.join(fixed)}" if fixed else ""
        return (f"let the bench allow more than one value{where}",)
    marks = model.landmarks() if isinstance(model, Guided) else ()
    if marks:
        return (
            f"allow {marks[0] + 1:,} clocks or more: that is when the first output changes",
            "scale the clock parameter down with [clock] parameter and speedup",
        )
    return ("bind the inputs that make the outputs change",)
