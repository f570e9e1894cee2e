"""Faults of converters from binary to decimal digits."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from verify.diagnose.bent.converter import BentConverter, bent_converter
from verify.diagnose.bent.sequencer import bent_sequencer
from verify.diagnose.bent.subtracting import Subtracting, subtracting
from verify.diagnose.fault import Fault, counted
from verify.diagnose.shift_rule import RIGHT, ShiftRule
from verify.diagnose.vocabulary.context import Context
from verify.models.bcd_converter import Converter
from verify.models.bcd_sequential import SequentialConverter
from verify.models.golden import GoldenModel
from verify.sheet import ordinal_place
from verify.wording import enumerated

__all__ = ["converter_edits", "sequential_edits"]

MOST_SUBTRACTED = 18
"""Digits; powers of ten up to there fit an int64."""

NO_CORRECTION = 16
"""A threshold that no digit reaches."""


def converter_edits(model: Converter, context: Context) -> Iterator[tuple[Fault, Converter]]:
    """Wrong thresholds and corrections, digits left out, shifts too few or too many."""
    del context
    if isinstance(model, Subtracting):
        return
    rule = model.rule if isinstance(model, BentConverter) else RIGHT
    count = model.ports.count
    for carries in (False, True):
        base = replace(rule, carries=carries)
        for threshold in (6, 4, 3, 7, 8, 2, 9):
            if threshold != rule.threshold:
                yield (
                    _threshold(threshold, rule, carries=carries),
                    bent_converter(model, rule=replace(base, threshold=threshold)),
                )
        for addend in (2, 4, 6, 1, 5):
            if addend != rule.addend:
                yield (
                    _rule_fault(
                        f"addend = {addend}",
                        f"a digit above {rule.threshold - 1} is corrected by {addend} instead of 3",
                        f"a correction of {addend}",
                        ((addend, 3),),
                        carries=carries,
                    ),
                    bent_converter(model, rule=replace(base, addend=addend)),
                )
        for places in _subsets(count):
            if set(places) - set(rule.skipped):
                yield (
                    _skipping(places, carries=carries),
                    bent_converter(model, rule=replace(base, skipped=places)),
                )
        if not rule.after_last:
            yield (
                _rule_fault(
                    "corrected after the last shift",
                    "the digits are corrected once more after the last shift",
                    "a correction after the last shift too",
                    (),
                    carries=carries,
                ),
                bent_converter(model, rule=replace(base, after_last=True)),
            )
    yield (
        Fault(
            "no correction",
            "no digit is ever corrected: the digits are those of the hexadecimal number",
            "shifting without adding 3",
        ),
        bent_converter(model, rule=replace(rule, threshold=NO_CORRECTION)),
    )
    yield from _taken_off(model, count)
    yield from _of_one_digit(model, rule, count)
    yield from _amounts(model, rule, count)


def _taken_off(model: Converter, count: int) -> Iterator[tuple[Fault, Converter]]:
    """By subtraction, where a comparison leaves the equal out."""
    if 1 < count <= MOST_SUBTRACTED and not isinstance(model, BentConverter):
        text = "a digit carries only above 10, not from 10 on: 10 is shown as no ten and ten ones"
        claim = "a conversion that takes off tens while more than ten is left"
        yield Fault("carry = above 10", text, claim, 1, ((10, 10),)), subtracting(model)


def _of_one_digit(model: Converter, rule: ShiftRule, count: int) -> Iterator[tuple[Fault, Converter]]:
    """A rule that is written out digit by digit, and wrong for one of them."""
    if rule != RIGHT or count < 2:
        return
    for carries, place in itertools.product((False, True), range(count)):
        digit = f"the {ordinal_place(place)} digit"
        for threshold in (6, 4, 7, 3, 8, 9):
            yield (
                _far_fetched(
                    _rule_fault(
                        f"threshold = {threshold} at {place}",
                        f"3 is added to {digit} from {threshold} on instead of from 5 on",
                        f"a threshold of {threshold} for {digit}",
                        ((threshold, 5), (threshold - 1, 4), (threshold - 1, 5), (threshold, 4)),
                        carries=carries,
                    )
                ),
                bent_converter(model, rule=ShiftRule(threshold, carries=carries, only=(place,))),
            )
        for addend in (2, 4, 1, 6):
            yield (
                _far_fetched(
                    _rule_fault(
                        f"addend = {addend} at {place}",
                        f"{digit} is corrected by {addend} instead of 3",
                        f"a correction of {addend} for {digit}",
                        ((addend, 3),),
                        carries=carries,
                    )
                ),
                bent_converter(model, rule=ShiftRule(addend=addend, carries=carries, only=(place,))),
            )


def _far_fetched(fault: Fault) -> Fault:
    """Where one missing correction does the same, that is plainer."""
    return replace(fault, cost=fault.cost + 1)


def _amounts(model: Converter, rule: ShiftRule, count: int) -> Iterator[tuple[Fault, Converter]]:
    width = model.width
    for missing in (1, 2, -1, -2):
        shifts = width - missing
        if shifts < 1:
            continue
        text = f"{shifts} shifts are done for {width} bits: one too {'few' if missing > 0 else 'many'}"
        if abs(missing) > 1:
            text = f"{shifts} shifts are done for {width} bits"
        yield (
            Fault(
                f"shifts = {shifts}",
                text,
                f"a conversion of {shifts} shifts",
                constants=((shifts, width), (shifts - 1, width - 1)),
            ),
            bent_converter(model, rule=rule, missing_shifts=missing),
        )
    for room in range(count - 1, 0, -1):
        top = ordinal_place(room)
        yield (
            Fault(
                f"digits = {room}",
                f"only {room} digits are worked out; from the {top} on they stay 0",
                f"a conversion to {room} digits",
            ),
            bent_converter(model, rule=rule, room=room),
        )


def _threshold(threshold: int, rule: ShiftRule, *, carries: bool) -> Fault:
    text = f"3 is added to digits of {threshold} or more instead of {rule.threshold} or more"
    constants = ((threshold, 5), (threshold - 1, 4), (threshold, 4), (threshold - 1, 5))
    return _rule_fault(
        f"threshold = {threshold}", text, f"a threshold of {threshold}", constants, carries=carries
    )


def _skipping(places: tuple[int, ...], *, carries: bool) -> Fault:
    names = enumerated([ordinal_place(p) for p in places])
    verb = "is" if len(places) == 1 else "are"
    what = f"the {names} digit" if len(places) == 1 else f"the {names} digits"
    fault = _rule_fault(
        f"uncorrected = {list(places)}",
        f"{what} {verb} never corrected: 3 is not added there",
        f"a conversion without correction on {names}",
        (),
        carries=carries,
    )
    return fault if len(places) == 1 else _far_fetched(fault)


def _rule_fault(
    key: str, text: str, claim: str, constants: tuple[tuple[int, int], ...], *, carries: bool
) -> Fault:
    if carries:
        return Fault(
            f"{key}, carrying", f"{text}, and a sum above 15 carries into the next digit", claim, 2, constants
        )
    return Fault(key, text, claim, 1, constants)


def _subsets(count: int) -> Iterator[tuple[int, ...]]:
    """Single places, then every place from one on, then up to one."""
    yield from ((p,) for p in range(count))
    for p in range(1, count - 1):
        yield tuple(range(p, count))
    for p in range(2, count):
        yield tuple(range(p))


def sequential_edits(model: SequentialConverter, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """What a start during a conversion does, a result that does not last, and wrong digits."""
    start, done = context.name("start"), context.name("done" if model.roles.done else "busy")
    texts = {
        "restart": f"{start} during a conversion begins a new one instead of being ignored",
        "ignore": f"{start} during a conversion is ignored instead of beginning a new one",
    }
    if model.roles.start:
        for what, text in texts.items():
            if what != model.while_busy:
                yield (
                    Fault(f"start_while_busy = {what}", text, f"a converter that {what}s then"),
                    replace(model, while_busy=what),
                )
        if model.while_busy == "ignore":
            for clocks in (1, 2):
                last = "last clock" if clocks == 1 else f"last {clocks} clocks"
                but = f"only in the {last} of the conversion it is ignored"
                yield (
                    Fault(
                        f"start_while_busy = restart, but {clocks}",
                        f"{texts['restart']}; {but}",
                        "a converter that restarts then",
                    ),
                    bent_sequencer(model, while_busy="restart", deaf_clocks=clocks),
                )
    yield from _reads(model, context)
    if model.holds_result:
        yield (
            Fault(
                "holds_result = false",
                f"the result is there only while {done} says so",
                "a result that is not held",
                2,
            ),
            replace(model, holds_result=False),
        )
    inside: Any
    for fault, inside in converter_edits(model.converter, context):
        yield fault, replace(model, converter=inside)


def _reads(model: SequentialConverter, context: Context) -> Iterator[tuple[Fault, GoldenModel]]:
    """The number is not kept when a conversion begins."""
    number = context.name("binary")
    for reads, how in (("bits", "bit after bit"), ("end", "as a whole, at its end")):
        for spare in (0, 1, 2) if reads == "bits" else (0, 1):
            late = f", {counted(spare, 'clock')} before the end" if spare else ""
            text = f"{number} is not kept at the start: it is read during the conversion, {how}{late}"
            key = f"{number} = read during the conversion, {reads}" + (f" {spare}" if spare else "")
            claim = "a converter that reads its input while it converts"
            yield Fault(key, text, claim), bent_sequencer(model, reads=reads, spare_clocks=spare)
