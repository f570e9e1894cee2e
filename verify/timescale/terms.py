"""What a constant expression comes to, and how: its value, its form, and what was lost on the way."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from pyslang import ast

from verify.errors import Place
from verify.timescale.form import Form

__all__ = ["Key", "Step", "Term", "fits", "joined", "wrapped"]

Key = tuple[str, int, int, int]
"""Where an expression stands: scope or symbol, buffer, first and last character."""


@dataclass(frozen=True, slots=True)
class Step:
    """A place in a calculation at which something can be lost.

    ``divide``: a division, shift or rounding; ``form`` is that of its exact result. ``truncate``: a
    conversion to ``width`` bits; ``selected``: written as a part-select. ``overflow``: a result that
    does not fit the ``width`` bits it is calculated in. ``before`` and ``after``: the values.
    """

    kind: Literal["divide", "truncate", "overflow"]
    key: Key
    place: Place | None
    text: str
    before: int
    after: int
    width: int
    form: Form | None = None
    selected: bool = False
    remainder: int = 0


@dataclass(frozen=True, slots=True)
class Term:
    """A constant. ``form`` None: it depends on the clock in a way that no sum of powers describes.

    ``tainted``: it depends on the clock parameter. ``origins``: the parameters that it came through.
    """

    value: int | float
    form: Form | None
    tainted: bool = False
    steps: tuple[Step, ...] = ()
    origins: tuple[ast.Symbol, ...] = ()

    def with_step(self, step: Step) -> Term:
        """The term with one more step, if it is not there yet."""
        return self if step in self.steps else replace(self, steps=(*self.steps, step))


def joined(value: int | float, form: Form | None, *parts: Term) -> Term:
    """A term calculated from ``parts``; what the clock has no part in has the form of its value."""
    tainted = any(part.tainted for part in parts)
    steps = tuple(dict.fromkeys(step for part in parts for step in part.steps))
    origins: list[ast.Symbol] = []
    for part in parts:
        origins += (symbol for symbol in part.origins if symbol not in origins)
    return Term(value, form if tainted else Form.constant(value), tainted, steps, tuple(origins))


def wrapped(value: int, kind: ast.Type) -> int:
    """``value`` in the bits of an integral type."""
    width = kind.bitWidth
    value &= (1 << width) - 1
    return value - (1 << width) if kind.isSigned and value >> (width - 1) else value


def fits(value: int, kind: ast.Type) -> bool:
    """Whether the type holds the value."""
    return wrapped(value, kind) == value
