"""A decoder for seven segments with patterns of its own."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from verify.models.golden import Leap, State, Values, select
from verify.models.segment_decoder import Decoder
from verify.models.segment_wires import POINT
from verify.models.stateless import still
from verify.signals import Column, column

__all__ = ["BentDecoder", "bent_decoder"]


@dataclass(frozen=True, slots=True)
class BentDecoder(Decoder):
    """``lit`` and ``dark``: patterns that lamp test and blank give, None: the proper ones."""

    lit: int | None = None
    dark: int | None = None

    def shown(self, pattern: Any, inputs: Values) -> Any:
        """What is shown instead of ``pattern``."""
        blank, lamp_test = self._asked(inputs, "blank"), self._asked(inputs, "lamp_test")
        proper = self.overrides.apply(pattern, blank, lamp_test)
        wins = self.overrides.lamp_test_wins
        tested = lamp_test if wins else select(blank, 0, lamp_test)
        blanked = select(lamp_test, 0, blank) if wins else blank
        if self.lit is not None:
            proper = select(tested, self.lit | proper & POINT, proper)
        if self.dark is not None:
            proper = select(blanked, self.dark | proper & POINT, proper)
        return proper

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """Every combination of inputs that occurs, worked out once."""
        rows = np.stack([c.astype(np.int64) for c in columns], axis=1)
        unique, where = np.unique(rows, axis=0, return_inverse=True)
        where = where.ravel()
        values = [self.out((), tuple(r)) for r in unique.tolist()]
        masks = [self.cares((), tuple(r)) for r in unique.tolist()]
        outputs = tuple(
            column(np.array([int(v[i]) for v in values], np.int64)[where], s.width)
            for i, s in enumerate(self.outputs)
        )
        if all(m is None for m in masks):
            return outputs, None
        every = tuple(s.mask for s in self.outputs)
        cares = tuple(
            column(np.array([int((m or every)[i]) for m in masks], np.int64)[where], s.width)
            for i, s in enumerate(self.outputs)
        )
        return outputs, cares

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:  # noqa: ARG002
        """Steady inputs, steady outputs."""
        return still((), self.outputs, self.out((), inputs), self.cares((), inputs))


def bent_decoder(decoder: Decoder, **changes: Any) -> BentDecoder:
    """``decoder`` with patterns to change; ``changes`` as for ``dataclasses.replace``."""
    if isinstance(decoder, BentDecoder):
        return replace(decoder, **changes)
    given = {f.name: getattr(decoder, f.name) for f in fields(Decoder) if f.init}
    return BentDecoder(**{**given, **changes})
