"""Read the options of a golden model with their defaults, each error naming the key."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from verify.models.family import OptionError, OptionSpec, Shape

__all__ = ["OptionValues", "one_of", "width_of"]


class OptionValues:
    """The options that were given, read under the names and defaults of their specifications.

    Raises :class:`OptionError` at once for a name that is no option of the model, and on reading
    for a value that the option cannot have.
    """

    def __init__(self, specs: Iterable[OptionSpec], given: Mapping[str, Any]) -> None:
        self._specs = {spec.name: spec for spec in specs}
        self._given = {key: value for key, value in given.items() if value is not None}
        for key in self._given:
            if key not in self._specs:
                raise OptionError(key, "an option that this model does not have", ", ".join(self._specs))

    def has(self, key: str) -> bool:
        """Whether the bench gives it."""
        return key in self._given

    def number(self, key: str, *, low: int = 0, high: int | None = None) -> int | None:
        """An integer from ``low`` to ``high``, or the default."""
        value = self._given.get(key, self._specs[key].default)
        if value is None:
            return None
        span = f"an integer from {low}" + ("" if high is None else f" to {high}")
        if isinstance(value, bool) or not isinstance(value, int):
            raise OptionError(key, repr(value), span)
        if value < low or (high is not None and value > high):
            raise OptionError(key, str(value), span)
        return value

    def choice(self, key: str) -> str:
        """One of the option's choices."""
        spec = self._specs[key]
        value = self._given.get(key, spec.default)
        if value not in spec.choices:
            raise OptionError(key, repr(value), " or ".join(f'"{c}"' for c in spec.choices))
        return str(value)

    def flag(self, key: str) -> bool:
        """True or false."""
        value = self._given.get(key, self._specs[key].default)
        if not isinstance(value, bool):
            raise OptionError(key, repr(value), "true or false")
        return value

    def table(self, key: str) -> Mapping[str, Any] | None:
        """A table, None when it was left out."""
        value = self._given.get(key)
        if value is not None and not isinstance(value, Mapping):
            raise OptionError(key, repr(value), "a table such as { key = value }")
        return value

    def refuse(self, keys: Iterable[str], why: str) -> None:
        """Raise for the first of ``keys`` that was given; ``why`` says when it would make sense."""
        for key in keys:
            if key in self._given:
                raise OptionError(key, repr(self._given[key]), why)


def width_of(shape: Shape, role: str) -> int | None:
    """The width of the one port bound to ``role``, None when it is not bound."""
    widths = shape.get(role, ())
    if len(widths) > 1:
        raise OptionError(role, f"{len(widths)} ports", "one port")
    return widths[0] if widths else None


def one_of(shape: Shape, *roles: str) -> str:
    """The one role among ``roles`` that is bound."""
    bound = [role for role in roles if shape.get(role)]
    if len(bound) == 1:
        return bound[0]
    found = " and ".join(bound) if bound else "neither" if len(roles) == 2 else "none of them"
    raise OptionError(bound[-1] if bound else roles[0], found, "one of " + ", ".join(roles))
