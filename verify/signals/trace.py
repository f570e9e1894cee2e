"""Change traces: the cycles at which something changed, and the values from there on.

A trace is a table. Row *i* holds from cycle ``cycles[i]`` up to the cycle before ``cycles[i + 1]``
(the last row up to ``length - 1``). ``cycles`` is strictly increasing and starts at 0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from verify.signals.columns import Column
from verify.signals.signal import Signal

__all__ = ["ExpectedTrace", "ObservedTrace"]


@dataclass(frozen=True, slots=True, eq=False)
class ExpectedTrace:
    """What should happen: one column[m] of values per signal.

    ``cares`` holds, per signal, a column of bit masks: a clear bit is a bit that the golden model
    does not promise there; None in place of a column (or of the tuple) means every bit counts.
    """

    signals: tuple[Signal, ...]
    length: int
    cycles: NDArray[np.int64]
    values: tuple[Column, ...]
    cares: tuple[Column | None, ...] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class ObservedTrace:
    """What happened: values sampled just before the active edge that ends each cycle.

    Four-state, in the encoding of IEEE 1364-2005 clause 27 (VPI): ``values`` holds the a bits,
    ``unknown`` the b bits: ab = 00 is 0, 10 is 1, 01 is z, 11 is x. None: no bit is unknown.
    """

    signals: tuple[Signal, ...]
    length: int
    cycles: NDArray[np.int64]
    values: tuple[Column, ...]
    unknown: tuple[Column | None, ...] | None = None
