"""Outputs that never get a value."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from verify.bench import ResolvedCheck
from verify.diagnose.fault import Edit, Fault
from verify.diagnose.naming import Names
from verify.diagnose.observation import Observation
from verify.models.golden import GoldenModel

__all__ = ["unknown_edits"]


def unknown_edits(
    model: GoldenModel, check: ResolvedCheck, failing: Sequence[Observation], names: Names
) -> Iterator[Edit]:
    """The edit in which the bits that were never known are never known, if there are any."""
    unknown: dict[str, int] = {}
    faults = []
    traces = [o.observed for o in failing if o.observed is not None]
    for i, signal in enumerate(model.outputs):
        columns = [None if t.unknown is None else t.unknown[i] for t in traces]
        masks = {int(m) for c in columns for m in ([0] if c is None else np.unique(c).tolist())}
        if len(masks) != 1 or masks == {0}:
            continue
        unknown[signal.name] = mask = masks.pop()
        open_wires = all(bool(np.all(t.values[i] & mask == 0)) for t in traces)
        whole = mask == signal.mask
        faults.append(_fault(names.get(signal.name, signal.name), mask, check, whole=whole, z=open_wires))
    if unknown:
        yield Edit(tuple(faults), model, unknown=unknown)


def _fault(name: str, mask: int, check: ResolvedCheck, *, whole: bool, z: bool) -> Fault:
    bits = [i for i in range(mask.bit_length()) if mask >> i & 1]
    what = name if whole else f"bit{'s' * (len(bits) > 1)} {', '.join(map(str, bits))} of {name}"
    verb = "is" if whole or len(bits) == 1 else "are"
    if z:
        text = f"{what} {verb} driven by nothing (z) on every clock"
        return Fault(f"{name} = z", text, f"{what} without a driver")
    why = "no reset reaches it and it has no initial value" if check.reset else "it has no initial value"
    text = f"{what} {verb} unknown (x) on every clock: {why}"
    return Fault(f"{name} = x", text, f"{what} without a value to begin with")
