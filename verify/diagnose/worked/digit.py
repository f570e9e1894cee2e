"""A digit on seven segments: what is lit, and the bits that light it."""

from __future__ import annotations

from typing import Literal

from verify.models.glyphs import HEXADECIMAL, LETTERS, VARIANTS, pattern_of
from verify.sheet import Row, Sheet, binary_text
from verify.wording import enumerated

__all__ = ["Order", "worked_digit"]

Order = Literal["a_lsb", "a_msb"]
"""Which end of a packed port segment a is at."""


def worked_digit(digit: int, *, active_low: bool = False, order: Order = "a_lsb") -> Sheet:
    """The segments of ``digit`` (0 to 15) and the value of a packed port that shows it."""
    letters = HEXADECIMAL[digit]
    pattern = pattern_of(letters)
    name = f"{digit:X}" if digit < 10 else f"{digit:X} (10 to 15 as hexadecimal digits)"
    dark = [letter for letter in LETTERS if letter not in letters]
    return Sheet(
        title=f"The digit {name} on seven segments",
        facts=(
            ("lit", " ".join(letters)),
            ("dark", " ".join(dark) or "none"),
            ("active", "low: a 0 lights a segment" if active_low else "high: a 1 lights a segment"),
            ("order", f"{order}: segment a is bit {_bit('a', order)}, the {_end(order)} significant"),
            ("value", _value(_port(pattern, order, active_low=active_low))),
        ),
        columns=("bit", "segment", "where", "lit", "port"),
        rows=tuple(_row(bit, pattern, order, active_low=active_low) for bit in range(6, -1, -1)),
        right=frozenset({0}),
        segments=pattern,
        remarks=_remarks(digit, letters, order, active_low=active_low),
    )


_WHERE = dict(
    zip(
        LETTERS,
        ("top", "top right", "bottom right", "bottom", "bottom left", "top left", "middle"),
        strict=True,
    )
)


def _bit(letter: str, order: Order) -> int:
    place = LETTERS.index(letter)
    return place if order == "a_lsb" else 6 - place


def _end(order: Order) -> str:
    return "least" if order == "a_lsb" else "most"


def _port(pattern: int, order: Order, *, active_low: bool) -> int:
    """What a seven-bit port carries for ``pattern``."""
    lit = sum(1 << _bit(letter, order) for i, letter in enumerate(LETTERS) if pattern >> i & 1)
    return lit ^ 0x7F if active_low else lit


def _value(port: int) -> str:
    return f"7'b{binary_text(port, 7).replace(' ', '_')} = 7'h{port:02X} = {port}"


def _row(bit: int, pattern: int, order: Order, *, active_low: bool) -> Row:
    letter = next(c for c in LETTERS if _bit(c, order) == bit)
    lit = pattern >> LETTERS.index(letter) & 1
    return Row(
        (str(bit), letter, _WHERE[letter], "lit" if lit else "dark", str(lit ^ int(active_low))),
        marked=bool(lit),
    )


def _remarks(digit: int, letters: str, order: Order, *, active_low: bool) -> tuple[str, ...]:
    if digit not in VARIANTS:
        return ()
    other = VARIANTS[digit]
    extra = [c for c in LETTERS if (c in letters) != (c in other)]
    verb = "without" if set(other) < set(letters) else "with" if set(letters) < set(other) else "differing in"
    value = _value(_port(pattern_of(other), order, active_low=active_low))
    return (f"Also drawn {verb} {enumerated(extra)}: {' '.join(other)}, which is {value}.",)
