"""Binary to decimal digits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from verify.models.bcd_converter import Converter
from verify.models.bcd_handshake import Roles
from verify.models.bcd_measuring import measure
from verify.models.bcd_sequential import SequentialConverter
from verify.models.digits import DigitPorts
from verify.models.family import Candidate, Family, OptionError, OptionSpec, RoleSpec, Shape
from verify.models.option_values import OptionValues, one_of, width_of
from verify.signals import ObservedTrace, Stimulus, width_mask

__all__ = ["FAMILY", "BcdFamily"]


class BcdFamily:
    """Combinational converters (their registers are latency), and those that start and are done."""

    name = "bcd"
    about = "binary to BCD digits, combinational, pipelined or sequential"
    stateful = False
    roles: tuple[RoleSpec, ...] = (
        RoleSpec("binary", "input", "the number to convert"),
        RoleSpec("bcd", "output", "all digits, four bits each, ones in the lowest bits"),
        RoleSpec("digits", "output", "one port per digit, ones first", many=True),
        RoleSpec("start", "input", "begins a conversion at the clock edge", control=True),
        RoleSpec("done", "output", "the result is there", control=True),
        RoleSpec("busy", "output", "a conversion is going on", control=True),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec("digits", "number", "decimal digits; as many as the ports hold"),
        OptionSpec("max_value", "number", "largest number to convert; larger ones are not driven"),
        OptionSpec(
            "overflow",
            "choice",
            "a number with more digits: its lowest digits, or anything",
            ("modulo", "any"),
            "modulo",
        ),
        OptionSpec("max_cycles", "number", "clocks from start to done at most; 4 per bit or one per value"),
        OptionSpec("holds_result", "flag", "the result stays until the next start", default=True),
        OptionSpec(
            "start_while_busy",
            "choice",
            "what a start does during a conversion",
            ("ignore", "restart", "any"),
            "ignore",
        ),
    )

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,  # noqa: ARG002 -- makes no difference here
        observed: tuple[Stimulus, ObservedTrace] | None = None,
    ) -> tuple[Candidate, ...]:
        """One converter, or one for each handshake that a sequential one may have.

        A sequential converter's handshake is read off ``observed``; before that the most usual one
        is returned.
        """
        values = OptionValues(self.options, options)
        converter = _converter(shape, values)
        roles = Roles.of(shape)
        if not roles.any:
            values.refuse(
                ("max_cycles", "holds_result", "start_while_busy"), "the roles start, done or busy beside it"
            )
            return (Candidate(converter),)
        while_busy = values.choice("start_while_busy")
        if not roles.tells and not values.has("start_while_busy"):
            while_busy = "any"  # nobody outside knows whether it is busy
        model = SequentialConverter(
            converter=converter,
            roles=roles,
            max_cycles=values.number("max_cycles", low=1) or _patience(converter.width, roles),
            holds_result=values.flag("holds_result"),
            while_busy=while_busy,
        )
        return measure(model, observed)


def _converter(shape: Shape, values: OptionValues) -> Converter:
    width = width_of(shape, "binary")
    if width is None:
        raise OptionError("binary", "no port", "the port with the number to convert")
    role = one_of(shape, "bcd", "digits")
    if role == "bcd":
        width_of(shape, role)
    max_value = values.number("max_value")
    limit = width_mask(width) if max_value is None else min(max_value, width_mask(width))
    ports = DigitPorts.of(
        packed=role == "bcd",
        widths=tuple(shape[role]),
        count=values.number("digits", low=1),
        limit=limit,
    )
    promised = limit
    if values.choice("overflow") == "any":
        promised = min(promised, 10**ports.count - 1)
    return Converter(
        width,
        ports,
        None if promised == width_mask(width) else promised,
        None if max_value is None else limit,
    )


def _patience(width: int, roles: Roles) -> int:
    """Clocks that any usual way of converting needs: a few per bit, or one per value counted down.

    Fewer where nothing says when it is over, since every conversion is given them all.
    """
    most = 1 << (12 if roles.tells else 10)
    return max(4 * width, min(1 << width, most)) + 16


FAMILY: Family = BcdFamily()
"""The family of models called ``bcd``."""
