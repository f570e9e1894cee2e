"""The family of counters.

A counter steps at every clock edge at which it is enabled. Clear puts it where reset puts it (where
the two differ that is measured), load gives it a number; both act at the next clock edge and, unless
``priority`` puts enable above them, also while enable is low. A loaded value that stands for no
number of the counter (a digit above its radix, or ``modulo`` and more) leaves everything unpromised
until the next reset, clear or proper load.

``carry`` is high in the last state before the wrap (``last_state``; counting down that is 0), in
that state while enabled (``last_state_and_enable``), or for one clock after the wrap
(``after_wrap``: in the first clock of the new round). Counting in steps, the last state is any
state from which the next step wraps. Nothing is promised of a carry whose step a clear or load
replaces.

Digits: ``digits`` ports, or ``count`` with ``encoding = "bcd"``, hold decimal digits, or those of
``digit_modulo``; the counter counts to their product unless ``modulo`` says less (24 h is two
digits and ``modulo = 24``). ``load_value`` is spelled like ``count``; beside ``digits`` ports it is
packed, four bits a digit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import accumulate
from math import prod
from operator import mul
from typing import Any, cast

from verify.models.controls import position, signals_of
from verify.models.counter_face import DIGIT_BITS, Face
from verify.models.counter_model import Carry, Counter
from verify.models.family import Candidate, Family, OptionError, OptionSpec, RoleSpec, Shape
from verify.models.golden import Values
from verify.models.latched_family import BUTTON_ROLES, has_buttons, with_buttons
from verify.models.option_lists import names_in, numbers_in
from verify.models.option_values import OptionValues, one_of, width_of
from verify.signals import ObservedTrace, Stimulus

__all__ = ["FAMILY", "CounterFamily"]

CONTROLS = ("clear", "load", "enable")
"""Strongest first, unless ``priority`` says otherwise."""

INPUTS = ("enable", "clear", "load", "load_value", "up")
BITS = ("enable", "clear", "load", "up", "carry")


class CounterFamily:
    """See the module."""

    name = "counter"
    about = "counts clocks, up or down, in binary or in digits"
    stateful = True
    roles: tuple[RoleSpec, ...] = (
        RoleSpec("count", "output", "the number"),
        RoleSpec("digits", "output", "the number's digits, least significant first", many=True),
        RoleSpec("enable", "input", "counts while it is high", control=True),
        RoleSpec("clear", "input", "back to the start at the next clock edge", control=True),
        RoleSpec("load", "input", "takes load_value at the next clock edge", control=True),
        RoleSpec("load_value", "input", "the number to load"),
        RoleSpec("up", "input", "counts up while it is high, down while it is low", control=True),
        *BUTTON_ROLES,
        RoleSpec("carry", "output", "carry or borrow out"),
    )
    options: tuple[OptionSpec, ...] = (
        OptionSpec("modulo", "number", "how many states; left out: as many as the port or the digits hold"),
        OptionSpec("start", "number", "the number after reset", default=0),
        OptionSpec("step", "number", "how much is counted per clock", default=1),
        OptionSpec(
            "direction", "choice", "which way; input: as the port up says", ("up", "down", "input"), "up"
        ),
        OptionSpec("encoding", "choice", "how count holds the number", ("binary", "bcd"), "binary"),
        OptionSpec(
            "digit_modulo", "numbers", "states of each digit, least significant first, such as [10, 6]"
        ),
        OptionSpec(
            "carry",
            "choice",
            "when carry is high",
            ("last_state", "last_state_and_enable", "after_wrap"),
            "last_state",
        ),
        OptionSpec("priority", "names", "the controls clear, load and enable, strongest first"),
    )

    def candidates(
        self,
        shape: Shape,
        options: Mapping[str, Any],
        reset: bool,
        observed: tuple[Stimulus, ObservedTrace] | None = None,
    ) -> tuple[Candidate, ...]:
        """One model, or two where it is open whether clear goes to the start or to zero."""
        if has_buttons(shape):
            return with_buttons(
                shape, lambda behind: self.candidates(behind, options, reset), reset, observed
            )
        values = OptionValues(self.options, options)
        radices = numbers_in(options, "digit_modulo", low=2, high=1 << DIGIT_BITS)
        face = _face(shape, values, radices)
        modulo = _modulo(shape, face, values, prod(radices) if radices else face.numbers)
        start = values.number("start", high=modulo - 1) or 0
        step, upward = _way(shape, modulo, values)
        carry = values.choice("carry")
        if "carry" not in shape:
            values.refuse(("carry",), "this only with a port carry")
        for one, other in (("load", "load_value"), ("load_value", "load")):
            if one in shape and other not in shape:
                raise OptionError(one, "a port", f"{other} bound as well")
        model = Counter(
            signals_of(shape, INPUTS, bits=BITS),
            signals_of(shape, ("count", "digits", "carry"), many=("digits",), bits=BITS),
            modulo,
            face,
            step=step,
            upward=upward,
            cleared=start,
            carry=cast(Carry, carry) if "carry" in shape else None,
            priority=_priority(options),
            load_face=_load_face(shape, face, values),
            power_up=(start, 0, 1),
        )
        return tuple(_variants(model, reset))


FAMILY: Family = CounterFamily()


def _variants(model: Counter, reset: bool) -> Iterator[Candidate]:
    clears = position(model.inputs, "clear") >= 0
    yield Candidate(model, {"clear_to": model.cleared} if clears and model.cleared else {})
    if clears and model.cleared:
        yield Candidate(replace(model, cleared=0), {"clear_to": 0})
    if not reset and (clears or position(model.inputs, "load") >= 0):
        yield Candidate(replace(model, power_up=(*model.power_up[:2], 0)), {"before_clear": "unknown"})


def _face(shape: Shape, values: OptionValues, radices: tuple[int, ...] | None) -> Face:
    if one_of(shape, "count", "digits") == "digits":
        widths = tuple(shape["digits"])
        radices = radices or (10,) * len(widths)
        if len(radices) != len(widths):
            raise OptionError("digit_modulo", f"{len(radices)} numbers", f"{len(widths)}, one per digit port")
        return Face(radices, False, widths)
    width = width_of(shape, "count") or 0
    if values.choice("encoding") == "bcd" or (radices and not values.has("encoding")):
        return Face(radices or (10,) * -(-width // DIGIT_BITS), True, (width,))
    return Face((), False, (width,))


def _load_face(shape: Shape, face: Face, values: OptionValues) -> Face | None:
    width = width_of(shape, "load_value")
    if width is None:
        return None
    if not face.radices or (values.has("encoding") and values.choice("encoding") == "binary"):
        return Face((), False, (width,))
    return Face(face.radices, True, (width,))


def _modulo(shape: Shape, face: Face, values: OptionValues, most: int) -> int:
    """How many numbers the counter goes through; each must fit on its port."""
    modulo = values.number("modulo", low=2, high=most) or most
    largest: Values = face.words(modulo - 1)
    if face.radices and not face.packed:
        weights = accumulate(face.radices[:-1], mul, initial=1)
        largest = tuple(min(r - 1, (modulo - 1) // w) for r, w in zip(face.radices, weights, strict=True))
    for index, (word, width) in enumerate(zip(largest, face.widths, strict=True)):
        if word >> width:
            raise OptionError(
                f"digits[{index}]" if "digits" in shape else "count",
                f"a port of {width} bit{'s' * (width != 1)}",
                f"{word.bit_length()} bits, or a smaller modulo or digit_modulo",
            )
    return modulo


def _way(shape: Shape, modulo: int, values: OptionValues) -> tuple[int, bool | None]:
    """The size of a step, and whether it goes up; None: as the port ``up`` says."""
    step = values.number("step", low=1 - modulo, high=modulo - 1)
    direction = values.choice("direction")
    if not step:
        raise OptionError("step", "0", "a number other than 0")
    if "up" in shape and not values.has("direction"):
        direction = "input"
    if (direction == "input") != ("up" in shape):
        found = 'direction = "input"' if direction == "input" else f'"{direction}" and a port up'
        raise OptionError("direction", found, 'a port up together with direction = "input"')
    if direction != "input":
        return abs(step), (direction == "up") == (step > 0)
    if step < 0:
        raise OptionError("step", str(step), "a step above 0 where a port says which way")
    return step, None


def _priority(options: Mapping[str, Any]) -> tuple[str, ...]:
    """As given, then those that were left out in the usual order."""
    given = names_in(options, "priority", CONTROLS)
    return (*given, *(name for name in CONTROLS if name not in given))
