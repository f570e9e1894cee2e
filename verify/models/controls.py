"""Where the control inputs of a model stand among its inputs."""

from __future__ import annotations

from typing import Any

from verify.models.family import OptionError, Shape
from verify.models.golden import Values
from verify.signals import Signal

__all__ = ["control", "position", "resting_values", "signals_of"]

RESTING_AT_ONE = frozenset({"enable", "up"})


def position(signals: tuple[Signal, ...], name: str) -> int:
    """The index of the signal with that name, -1 when there is none."""
    return next((i for i, signal in enumerate(signals) if signal.name == name), -1)


def control(inputs: Values, index: int, resting: int) -> Any:
    """The value of a control, its resting value when the control is not bound (``index`` -1)."""
    return resting if index < 0 else inputs[index]


def resting_values(signals: tuple[Signal, ...]) -> dict[str, int]:
    """Every input's value while nothing is asked of the design."""
    return {signal.name: 1 if signal.name in RESTING_AT_ONE else 0 for signal in signals}


def signals_of(
    shape: Shape, roles: tuple[str, ...], *, many: tuple[str, ...] = (), bits: tuple[str, ...] = ()
) -> tuple[Signal, ...]:
    """The signals of the bound roles among ``roles``, in that order.

    Roles in ``many`` give one signal per port (``digits[0]`` ...), the others take one port; those in
    ``bits`` are one bit wide. Raises :class:`OptionError` otherwise.
    """
    found: list[Signal] = []
    for role in roles:
        widths = shape.get(role, ())
        if not widths:
            continue
        if role in many:
            found += [Signal(f"{role}[{i}]", width) for i, width in enumerate(widths)]
            continue
        if len(widths) > 1:
            raise OptionError(role, f"{len(widths)} ports", "one port")
        if role in bits and widths[0] != 1:
            raise OptionError(role, f"a port of {widths[0]} bits", "a port of one bit")
        found.append(Signal(role, widths[0]))
    return tuple(found)
