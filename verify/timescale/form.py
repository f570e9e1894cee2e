"""How a constant of a design depends on the clock: a sum of powers of the time scale.

The scale is 1 on the board and 1/factor in a run sped up by that factor; the clock parameter is
``native * scale``. ``CLK_HZ / 1000 - 1`` is ``native/1000 * scale - 1``, a clock period in
nanoseconds goes with ``1 / scale``, a quotient of two frequencies with neither.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

__all__ = ["Form"]


@dataclass(frozen=True, slots=True)
class Form:
    """``terms``: power of the scale -> coefficient, none of them zero, powers ascending."""

    terms: tuple[tuple[int, Fraction], ...] = ()

    @classmethod
    def of(cls, terms: Mapping[int, Fraction]) -> Form:
        """The form with these coefficients."""
        return cls(tuple(sorted((power, value) for power, value in terms.items() if value)))

    @classmethod
    def constant(cls, value: int | float | Fraction) -> Form:
        """A value that the clock has no part in; a decimal fraction counts as it is written."""
        return cls.of({0: Fraction(str(value)) if isinstance(value, float) else Fraction(value)})

    @property
    def scales(self) -> bool:
        """Whether the value changes with the scale."""
        return any(power for power, _ in self.terms)

    @property
    def power(self) -> int | None:
        """The one power that the clock enters with; None when there are several or none."""
        powers = [power for power, _ in self.terms if power]
        return powers[0] if len(powers) == 1 else None

    @property
    def fixed(self) -> Fraction:
        """The part that does not scale."""
        return dict(self.terms).get(0, Fraction(0))

    def scaling(self, factor: int | Fraction) -> Fraction:
        """The part that scales, in a run sped up by ``factor``."""
        return sum((c * Fraction(factor) ** -p for p, c in self.terms if p), Fraction(0))

    def at(self, factor: int | Fraction) -> Fraction:
        """The value in a run sped up by ``factor``."""
        return self.scaling(factor) + self.fixed

    def __add__(self, other: Form) -> Form:
        terms = dict(self.terms)
        for power, value in other.terms:
            terms[power] = terms.get(power, Fraction(0)) + value
        return Form.of(terms)

    def __neg__(self) -> Form:
        return Form(tuple((power, -value) for power, value in self.terms))

    def __sub__(self, other: Form) -> Form:
        return self + -other

    def __mul__(self, other: Form) -> Form:
        terms: dict[int, Fraction] = {}
        for power, value in self.terms:
            for other_power, other_value in other.terms:
                key = power + other_power
                terms[key] = terms.get(key, Fraction(0)) + value * other_value
        return Form.of(terms)

    def over(self, other: Form) -> Form | None:
        """The exact quotient; None when the divisor is zero or no single power."""
        if len(other.terms) != 1:
            return None
        power, value = other.terms[0]
        return Form.of({p - power: v / value for p, v in self.terms})
