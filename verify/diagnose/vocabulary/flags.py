"""Faults of flags: a tick, a carry, a done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from verify.diagnose.bent.holding import HeldFlag
from verify.diagnose.fault import Fault, indefinite
from verify.diagnose.vocabulary.context import Context
from verify.models.controls import position
from verify.models.golden import GoldenModel

__all__ = ["held_flags"]


def held_flags(
    model: GoldenModel, context: Context, flags: Sequence[str], *, rest: int = 0
) -> Iterator[tuple[Fault, GoldenModel]]:
    """Each of ``flags`` that is an output: its register is not written while nothing is enabled."""
    enable = position(model.inputs, "enable")
    if enable < 0:
        return
    run = context.name("enable")
    for flag in flags:
        index = position(model.outputs, flag)
        if index >= 0:
            name = context.name(flag)
            text = f"{name} stands still in a pause by {run}: when it is high then, it stays high"
            fault = Fault(
                f"{name} = held in a pause", text, f"{indefinite(flag)} that is held", signals=(flag,)
            )
            yield fault, HeldFlag(model, index, enable, rest)
