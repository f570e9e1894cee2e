"""The number that a counter shows, in whatever way it shows it."""

from __future__ import annotations

from collections import Counter as Tally
from itertools import pairwise

import numpy as np

from verify.diagnose.vocabulary.context import Context
from verify.models.counter_face import DIGIT_BITS, Face
from verify.models.counter_model import Counter
from verify.signals import ObservedTrace

__all__ = ["number_name", "number_steps"]

LONGEST_LOOK = 200_000
"""Changes that are looked at, the latest ones."""


def number_name(model: Counter, context: Context) -> str:
    """The port that shows it, or its digits put together, the highest first."""
    shown = [context.name(s.name) for s in model.outputs if s.name.startswith(("count", "digits"))]
    return shown[0] if len(shown) == 1 else f"{{{', '.join(reversed(shown))}}}"


def number_steps(model: Counter, context: Context) -> Tally[tuple[int, int]]:
    """How often it went from one value to another; words that stand for no number are left out."""
    if not model.face.radices:
        return context.evidence.steps(0)
    found: Tally[tuple[int, int]] = Tally()
    for trace in context.evidence.traces:
        numbers = _numbers(model.face, trace)
        found.update((a, b) for a, b in pairwise(numbers) if a != b and a >= 0 and b >= 0)
    return found


def _numbers(face: Face, trace: ObservedTrace) -> list[int]:
    """Row by row, -1 where it is none."""
    if face.packed and DIGIT_BITS * len(face.radices) > 60:
        return []
    total = np.zeros(min(len(trace.cycles), LONGEST_LOOK), np.int64)
    legal = np.ones(len(total), dtype=bool)
    weight = 1
    for place, radix in enumerate(face.radices):
        at = 0 if face.packed else place
        digit = trace.values[at][-LONGEST_LOOK:].astype(np.int64)
        if face.packed:
            digit = digit >> DIGIT_BITS * place & 15
        unknown = None if trace.unknown is None else trace.unknown[at]
        if unknown is not None:
            legal &= np.asarray(unknown[-LONGEST_LOOK:] == 0, dtype=bool)
        legal &= digit < radix
        total += weight * digit
        weight *= radix
    return [int(n) for n in np.where(legal, total, -1)]
