"""Binary to BCD by shift and add three, step by step."""

from __future__ import annotations

from verify.diagnose.shift_rule import RIGHT, ShiftRule, steps_of
from verify.models.digits import DIGIT_BITS
from verify.models.shift_and_add import Step
from verify.sheet import NothingToShow, Row, Sheet, binary_text, ordinal_place
from verify.wording import enumerated

__all__ = ["WIDEST", "worked_conversion"]

WIDEST = 1024
"""Bits; a table of so many steps can still be read."""


def worked_conversion(
    number: int,
    *,
    width: int | None = None,
    digits: int | None = None,
    rule: ShiftRule = RIGHT,
    room: int = 80,
) -> Sheet:
    """Every step of the conversion of ``number``.

    ``width``: bits of the binary register; as many as the number needs when left out. ``digits``:
    as many as the largest number of that width has. ``room``: columns for one line, beyond which
    digits and bits are written shorter. Raises :class:`NothingToShow`.
    """
    width = max(number.bit_length(), 1) if width is None else width
    if not 1 <= width <= WIDEST:
        raise NothingToShow("width", f"{width} bits", f"1 to {WIDEST}")
    if number < 0 or number >> width:
        raise NothingToShow("width", f"{width} bits for {number}", f"at least {number.bit_length()} bits")
    digits = len(str((1 << width) - 1)) if digits is None else digits
    if not 1 <= digits <= WIDEST:
        raise NothingToShow("digits", str(digits), f"1 to {WIDEST}")
    steps = steps_of(number, width, digits, rule)
    form = next(f for f in _FORMS if f is _FORMS[-1] or _needs(f, steps, width, digits) <= room)
    return Sheet(
        title=f"{number} to BCD: shift and add {rule.addend}",
        facts=_facts(number, width, digits, steps[-1]),
        columns=("shift", "step", f"digits ({'tens, ones' if digits == 2 else 'highest first'})", "binary"),
        rows=tuple(_rows(steps, width, digits, form)),
        right=frozenset({0}),
        remarks=_remarks(number, digits, rule, form),
    )


class _Form:
    """How one line is written: digits in four bits or one character, the step long or short."""

    def __init__(self, *, bits: bool, places: bool, hexadecimal: bool = False) -> None:
        self.bits, self.places, self.hexadecimal = bits, places, hexadecimal


_FORMS = (
    _Form(bits=True, places=True),
    _Form(bits=True, places=False),
    _Form(bits=False, places=False),
    _Form(bits=False, places=False, hexadecimal=True),
)


def _needs(form: _Form, steps: tuple[Step, ...], width: int, digits: int) -> int:
    rows = [r.cells for r in _rows(steps, width, digits, form)]
    return sum(max(len(c[i]) for c in rows) for i in range(1, 4)) + 5 + 3 * 2 + 2


def _rows(steps: tuple[Step, ...], width: int, digits: int, form: _Form) -> list[Row]:
    rows, shifts = [], 0
    for step in steps:
        shifts += step.operation == "shift"
        label = {"start": "start", "shift": "shift left", "add": _adding(step, form)}[step.operation]
        number = str(shifts) if step.operation == "shift" else ""
        cells = (number, label, _digits(step, digits, form), _binary(step.binary, width, shifts, form))
        rows.append(Row(cells, marked=step.operation == "add"))
    return rows


def _adding(step: Step, form: _Form) -> str:
    if not form.places:
        return "add"
    return "add to " + ", ".join(ordinal_place(p) for p in reversed(step.places))


def _digits(step: Step, digits: int, form: _Form) -> str:
    """Highest first; a + stands before a digit that has just been corrected."""
    parts = []
    for place in range(digits - 1, -1, -1):
        digit = step.bcd >> DIGIT_BITS * place & 15
        text = f"{digit:04b}" if form.bits else f"{digit:X}"
        parts.append(("+" if place in step.places else " ") + text)
    return "".join(parts)


def _binary(value: int, width: int, shifts: int, form: _Form) -> str:
    """What is left of the number, flush left; a dot for each bit that has been shifted out."""
    if form.hexadecimal:
        length = -(-width // 4)
        return f"{value << 4 * length - width:0{length}X}"
    left = width - shifts
    bits = f"{value:0{width}b}"[:left] + "·" * shifts
    head = width % 4
    groups = ([bits[:head]] if head else []) + [bits[at : at + 4] for at in range(head, width, 4)]
    return " ".join(groups) if form.bits else bits


def _facts(number: int, width: int, digits: int, last: Step) -> tuple[tuple[str, str], ...]:
    result = f"{last.bcd:0{digits}X}"
    facts = [("number", f"{number} in {width} bit{'s' * (width != 1)}")]
    if width <= 48:
        facts[0] = ("number", f"{number} = {binary_text(number, width)}")
    facts.append(("digits", f"{digits}, four bits each: {DIGIT_BITS * digits} bits"))
    packed = f" = {binary_text(last.bcd, DIGIT_BITS * digits)}" if digits <= 12 else ""
    facts.append(("result", result + packed))
    return tuple(facts)


def _remarks(number: int, digits: int, rule: ShiftRule, form: _Form) -> tuple[str, ...]:
    exception = ""
    if rule.skipped:
        exception = f" except {enumerated([ordinal_place(p) for p in rule.skipped])}"
    when = "Before each shift" + (" and after the last one" if rule.after_last else "")
    rule_text = f"{when}, {rule.addend} is added to every digit of {rule.threshold} or more{exception}"
    remarks = [f"{rule_text}; a + marks such a digit."]
    if rule == RIGHT:
        remarks.append("The doubling that follows then carries 1 into the next digit and leaves the rest.")
    if number >= 10**digits:
        names = f"{digits} digit{'s' * (digits != 1)}"
        remarks.append(f"{number} has more than {names}: what is shifted out at the top is lost.")
    if not form.bits:
        remarks.append("Each digit is written as one hexadecimal character: A to C are 10 to 12.")
    if form.hexadecimal:
        remarks.append("What is left of the number is written in hexadecimal, flush left.")
    return (" ".join(remarks[:2]), *remarks[2:]) if rule == RIGHT else tuple(remarks)
