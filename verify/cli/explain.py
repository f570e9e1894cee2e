"""``everyedge explain``: a worked computation, on the terminal or as a picture."""

from __future__ import annotations

import re
import sys
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

    from verify.diagnose.worked import Sheet

__all__ = ["explain"]

_HELP = """Work a computation out step by step: what each register holds and why.

\b
Examples:
  everyedge explain bcd 243 --width 8
  everyedge explain segments 6 --active low --order a_msb
  everyedge explain divider --clock 12e6 --rate 1
  everyedge explain timer 359999s
"""

_BASES = {"b": 2, "o": 8, "d": 10, "h": 16}
_DIGITS = {2: "01", 8: "01234567", 10: "0123456789", 16: "0123456789abcdef"}
_MOST_DIGITS = 400
_HERTZ = r"(\d{1,20}(?:\.\d{0,20})?(?:e-?\d{1,2})?|\d{1,18}/\d{1,18})\s*([kmg]?)(?:hz)?"


class _OfNumbers(click.Command):
    """A number below 0 is told from an option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """As ever; a usage error for a number with a sign where the argument belongs."""
        options = {name: o for o in self.params if isinstance(o, click.Option) for name in o.opts}
        for before, word in zip(["", *args], args, strict=False):
            takes_it = before in options and not options[before].is_flag
            if re.fullmatch(r"-\d.*", word) and not takes_it and "--" not in args:
                raise click.UsageError(f"{word!r}; expected a number that is not below 0", ctx)
        return super().parse_args(ctx, args)


class _Number(click.ParamType[int]):
    """A whole number as people and Verilog write it: 243, 1_000, 0xF3, 8'hF3."""

    name = "number"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The number; a usage error for anything else."""
        text = str(value).lower().replace("_", "")
        prefixed = re.fullmatch(r"0([xbo])(\w+)|\d*'([bodh])(\w+)|(\d+)", text)
        if prefixed is not None and len(text) <= _MOST_DIGITS:
            letter = {"x": "h"}.get(prefixed[1], prefixed[1]) or prefixed[3] or "d"
            digits, base = prefixed[2] or prefixed[4] or prefixed[5], _BASES[letter]
            if set(digits) <= set(_DIGITS[base]):
                return int(digits, base)
        return self.fail(f"{value!r}; expected a whole number such as 243, 0xF3 or 8'hF3", param, ctx)


class _Frequency(click.ParamType[Fraction]):
    """Hz, perhaps with a power of ten or a unit: 12e6, 12MHz, 0.5."""

    name = "hz"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Fraction:
        """The frequency, exact; a usage error for anything else."""
        if isinstance(value, Fraction):
            return value
        text = str(value).replace("_", "").replace(",", "").lower()
        found = re.fullmatch(_HERTZ, text)
        try:
            if found is not None:
                return Fraction(found[1]) * Fraction({"": 1, "k": 10**3, "m": 10**6, "g": 10**9}[found[2]])
        except ZeroDivisionError:
            pass
        return self.fail(f"{value!r}; expected a frequency in Hz such as 12e6, 12MHz or 0.5", param, ctx)


class _Seconds(click.ParamType[int]):
    """A time: 359999s, 99:59:59, 1h30m."""

    name = "time"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Seconds; a usage error for anything else."""
        text = str(value).strip().lower().replace("_", "").replace(",", "")
        if re.fullmatch(r"\d{1,15}(:\d{1,2}){1,2}", text):
            total = 0
            for part in text.split(":"):
                total = total * 60 + int(part)
            return total
        found = re.fullmatch(r"(?:(\d{1,15})h)?(?:(\d{1,15})m)?(?:(\d{1,15})s?)?", text)
        if found is not None and any(found.groups()):
            hours, minutes, seconds = (int(part or 0) for part in found.groups())
            return hours * 3600 + minutes * 60 + seconds
        return self.fail(f"{value!r}; expected a time such as 359999s, 1h30m or 99:59:59", param, ctx)


class _Modulos(click.ParamType[tuple[int, ...]]):
    """States of each stage, fastest first: 60,60,24."""

    name = "list"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, ...]:
        """The numbers; a usage error for anything else."""
        if isinstance(value, tuple):
            return value
        if not re.fullmatch(r"\d{1,9}(,\d{1,9})*", str(value)):
            self.fail(f"{value!r}; expected whole numbers with commas between, such as 60,60,24", param, ctx)
        return tuple(int(part) for part in str(value).split(","))


class _Digit(click.ParamType[int]):
    """A digit: 0 to 9, A to F, or 10 to 15."""

    name = "digit"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The digit; a usage error for anything else."""
        text = str(value).lower()
        if re.fullmatch(r"[0-9a-f]", text):
            return int(text, 16)
        if re.fullmatch(r"1[0-5]", text):
            return int(text)
        return self.fail(f"{value!r}; expected a digit from 0 to 9 or A to F", param, ctx)


@click.group(help=_HELP, short_help="Work a computation out step by step, for teaching and by hand.")
def explain() -> None:
    """See ``_HELP``."""


def _drawn(command: Callable[..., Any]) -> Callable[..., Any]:
    """With the option that every worked computation has."""
    option = click.option(
        "--svg",
        type=click.Path(path_type=Path, allow_dash=True, dir_okay=False),
        metavar="FILE",
        help="Draw it into FILE instead; - prints the picture.",
    )
    return option(command)


@explain.command(cls=_OfNumbers)
@click.argument("number", type=_Number())
@click.option("--width", type=_Number(), metavar="BITS", help="Of the binary number; as few as hold it.")
@click.option("--digits", type=_Number(), metavar="N", help="Decimal digits; as many as the width can need.")
@_drawn
def bcd(number: int, width: int | None, digits: int | None, svg: Path | None) -> int:
    """Shift and add three: a binary number becomes decimal digits.

    NUMBER may be written 243, 0xF3 or 8'hF3.
    """
    from verify.diagnose.worked import worked_conversion  # noqa: PLC0415 -- heavy

    return _show(lambda room: worked_conversion(number, width=width, digits=digits, room=room), svg)


@explain.command(cls=_OfNumbers)
@click.argument("digit", type=_Digit())
@click.option(
    "--active",
    type=click.Choice(["high", "low"]),
    default="high",
    show_default=True,
    help="Level that lights.",
)
@click.option(
    "--order",
    type=click.Choice(["a_lsb", "a_msb"]),
    default="a_lsb",
    show_default=True,
    help="Segment a is the least or the most significant bit.",
)
@_drawn
def segments(digit: int, active: str, order: str, svg: Path | None) -> int:
    """A digit on seven segments: what is lit, and the bits that light it."""
    from verify.diagnose.worked import worked_digit  # noqa: PLC0415 -- heavy

    order_: Any = order
    return _show(lambda _: worked_digit(digit, active_low=active == "low", order=order_), svg)


@explain.command()
@click.option("--clock", type=_Frequency(), metavar="HZ", help="Frequency of the clock, such as 12e6.")
@click.option(
    "--rate", type=_Frequency(), default="1", show_default=True, metavar="HZ", help="Periods per second."
)
@click.option("--ratio", type=_Number(), metavar="N", help="Clocks per period, instead of --clock.")
@click.option("--square", is_flag=True, help="High for half a period instead of one clock.")
@_drawn
def divider(clock: Fraction | None, rate: Fraction, ratio: int | None, square: bool, svg: Path | None) -> int:
    """A clock divider: terminal count, width, and what the register holds around the turn."""
    from verify.diagnose.worked import worked_division  # noqa: PLC0415 -- heavy

    if (clock is None) == (ratio is None):
        raise click.UsageError("Give either --clock (such as --clock 12e6) or --ratio (such as --ratio 50).")
    return _show(lambda _: worked_division(clock_hz=clock, rate_hz=rate, ratio=ratio, square=square), svg)


@explain.command(cls=_OfNumbers)
@click.argument("seconds", metavar="TIME", type=_Seconds())
@click.option(
    "--modulo",
    type=_Modulos(),
    default="60,60,100",
    show_default=True,
    metavar="N,N,..",
    help="States of each stage, fastest first.",
)
@click.option(
    "--direction",
    type=click.Choice(["up", "down"]),
    default="up",
    show_default=True,
    help="Which way it counts.",
)
@click.option(
    "--clock", type=_Number(), metavar="HZ", help="Also tell what divides this clock down to a second."
)
@_drawn
def timer(seconds: int, modulo: tuple[int, ...], direction: str, clock: int | None, svg: Path | None) -> int:
    """A timer: what every stage holds, why, and what the next second does.

    TIME may be written 359999s, 1h30m or 99:59:59.
    """
    from verify.diagnose.worked import worked_stages  # noqa: PLC0415 -- heavy

    way: Any = direction
    return _show(lambda _: worked_stages(seconds, modulo=modulo, direction=way, clock_hz=clock), svg)


def _show(make: Callable[[int], Sheet], svg: Path | None) -> int:
    from verify.diagnose.worked import NothingToShow  # noqa: PLC0415 -- heavy
    from verify.report.printing import Printer  # noqa: PLC0415 -- heavy
    from verify.report.worked import sheet_lines, sheet_svg  # noqa: PLC0415 -- heavy

    printer = Printer(sys.stdout)
    try:
        sheet = make(printer.width if svg is None else 120)
    except NothingToShow as error:
        raise click.UsageError(f"{error.argument}: {error.found}; expected {error.expected}.") from None
    if svg is None:
        printer.print(sheet_lines(sheet, printer.width))
    elif str(svg) == "-":
        click.echo(sheet_svg(sheet), nl=False)
    else:
        _write(sheet_svg(sheet), svg)
    return 0


def _write(text: str, file: Path) -> None:
    from verify.errors import EveryedgeError  # noqa: PLC0415 -- heavy

    try:
        file.write_text(text, encoding="utf-8")
    except OSError as error:
        raise EveryedgeError(
            f"the picture could not be written to {file}: {error.strerror}",
            advice="give a file in a folder that exists and can be written",
        ) from None
