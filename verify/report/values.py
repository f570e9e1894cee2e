"""A value of 0, 1, x and z beside another: binary, decimal and hexadecimal, differing bits marked."""

from __future__ import annotations

from rich.text import Text

from verify.report.look import Lines, line
from verify.results import Mismatch

__all__ = ["cell_text", "differing_bits", "number_texts", "side_by_side"]

_GROUP = 4


def differing_bits(expected: str, observed: str) -> tuple[int, ...]:
    """Bit numbers (0 least significant) that differ, highest first; ``-`` is never different."""
    pairs = zip(expected, observed, strict=True)
    last = len(expected) - 1
    return tuple(last - at for at, (want, have) in enumerate(pairs) if want not in ("-", have))


def side_by_side(mismatch: Mismatch, width: int) -> Lines:
    """Expected over observed, aligned; a row of carets under the bits that differ.

    Binary is grouped in fours; when it does not fit it goes in rows of whole groups, highest first.
    """
    expected, observed = mismatch.expected, mismatch.observed
    if len(expected) == 1:
        return [_row("expected", expected, "", "green"), _row("observed", observed, "", "red")]
    numbers = [number_texts(expected), number_texts(observed)]
    decimal, hexadecimal = (max(len(pair[i]) for pair in numbers) for i in (0, 1))
    tails = [f"{d:>{decimal}}   0x{h:>0{hexadecimal}}" for d, h in numbers]
    grouped = len(_grouped(expected))
    if 13 + grouped + 3 + len(tails[0]) <= width:
        return [
            _row("expected", _grouped(expected), tails[0], "green"),
            _row("observed", _grouped(observed), tails[1], "red"),
            line(" " * 13, (_carets(expected, observed), "bold red")),
        ]
    return [
        _row("expected", tails[0], "", "green"),
        _row("observed", tails[1], "", "red"),
        *_in_rows(expected, observed, width),
    ]


def _row(label: str, value: str, tail: str, style: str) -> Text:
    return line("  ", (label.ljust(11), "dim"), (value, style), ("   " + tail if tail else "", style))


def _in_rows(expected: str, observed: str, width: int) -> Lines:
    """Only the rows of bits in which something differs."""
    bits_per_row = max((width - 24) // (_GROUP + 1), 2) * _GROUP
    padding = -len(expected) % bits_per_row
    expected, observed = "-" * padding + expected, "-" * padding + observed
    lines: Lines = []
    for start in range(0, len(expected), bits_per_row):
        want, have = expected[start : start + bits_per_row], observed[start : start + bits_per_row]
        skip = max(padding - start, 0)
        want, have = want[skip:], have[skip:]
        if not differing_bits(want, have):
            continue
        low = len(expected) - start - bits_per_row
        label = f"bits {low + len(want) - 1}..{low}"
        lines += [
            line("  ", (f"{label:<20}", "dim"), (_grouped(want), "green")),
            line("  ", " " * 20, (_grouped(have), "red")),
            line("  ", " " * 20, (_carets(want, have), "bold red")),
        ]
    return lines


def _grouped(bits: str) -> str:
    head = len(bits) % _GROUP
    groups = [bits[:head]] if head else []
    groups += [bits[at : at + _GROUP] for at in range(head, len(bits), _GROUP)]
    return "_".join(groups)


def _carets(expected: str, observed: str) -> str:
    different = set(differing_bits(expected, observed))
    last = len(expected) - 1
    marks = "".join("^" if last - at in different else " " for at in range(len(expected)))
    return _grouped(marks).replace("_", " ").rstrip()


def number_texts(bits: str) -> tuple[str, str]:
    """Decimal (a word when there is none) and hexadecimal digits."""
    padded = (bits[0] if bits[0] in "xz-" else "0") * (-len(bits) % 4) + bits
    hexadecimal = "".join(_nibble(padded[at : at + 4]) for at in range(0, len(padded), 4))
    if set(bits) <= {"0", "1"}:
        return str(int(bits, 2)), hexadecimal
    return ("unknown" if "x" in bits else "open" if "z" in bits else "partly"), hexadecimal


def _nibble(bits: str) -> str:
    """As IEEE 1364-2005 §17.1.1.4 prints them: x when all four bits are unknown, X when some are."""
    if set(bits) <= {"0", "1"}:
        return f"{int(bits, 2):x}"
    if len(set(bits)) == 1:
        return bits[0]
    return "X" if "x" in bits else "Z" if "z" in bits else "-"


def cell_text(bits: str, role: str) -> str:
    """A value for a narrow cell: binary for segment lines, hexadecimal for packed digits, else decimal."""
    kind = role.split("[", maxsplit=1)[0]
    unknown = set(bits) & {"x", "z", "-"}
    if len(set(bits)) == 1 and unknown:
        return bits[0]
    if len(bits) == 1 or (kind.startswith(("segment", "select")) and len(bits) <= 16):
        return bits
    if unknown or kind in {"bcd", "segments"} or len(bits) > 32:
        return number_texts(bits)[1].lstrip("0") or "0"
    return str(int(bits, 2))
