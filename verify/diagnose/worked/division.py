"""A clock divider: how far the register counts, how wide it is, and what it holds around the turn."""

from __future__ import annotations

from fractions import Fraction

from verify.sheet import NothingToShow, Row, Sheet

__all__ = ["worked_division"]

LARGEST_RATIO = 1 << 64
PERCENT = 10_000
"""Parts per million."""

AROUND = 2
"""Clocks shown on either side of a turn."""


def worked_division(
    *,
    clock_hz: Fraction | None = None,
    rate_hz: Fraction | None = None,
    ratio: int | None = None,
    square: bool = False,
) -> Sheet:
    """The register of a divider of ``clock_hz`` to ``rate_hz``, or by ``ratio``.

    ``square``: the output is high for half a period, instead of one clock per period. A ratio that
    is not whole is rounded, and the rate that results is told. Raises :class:`NothingToShow`.
    """
    exact = _exact(clock_hz, rate_hz) if ratio is None else Fraction(ratio)
    whole = int(exact + Fraction(1, 2))
    if not (2 if square else 1) <= whole < LARGEST_RATIO:
        least = "2 for a square wave" if square else "1"
        expected = f"at least {least}" if whole < LARGEST_RATIO else "less than 2^64: a register of 64 bits"
        raise NothingToShow("ratio", f"{float(exact):g} clocks per period", expected)
    facts = [("ratio", _ratio_text(exact, whole, clock_hz, rate_hz))]
    facts += _rate_facts(exact, whole, clock_hz)
    if square:
        high = whole // 2
        facts.append(("halves", _halves(whole)))
        span = high if whole % 2 == 0 else whole
        if whole % 2 == 0:
            facts += _register("half", span)
            rows = _toggling(high)
        else:
            facts += _register("count", span)
            rows = _comparing(whole, high)
    else:
        facts += _register("count", whole)
        rows = _ticking(whole)
    return Sheet(
        title=f"Divide by {whole:,}" + (": a square wave" if square else ": one tick per period"),
        facts=tuple(facts),
        columns=("clock", "register", "output", "at the next edge"),
        rows=tuple(rows),
        right=frozenset({0, 1}),
        remarks=_remarks(whole, square=square),
    )


def _exact(clock_hz: Fraction | None, rate_hz: Fraction | None) -> Fraction:
    if clock_hz is None:
        raise NothingToShow("clock", "nothing", "the frequency of the clock in Hz, or a ratio")
    rate_hz = Fraction(1) if rate_hz is None else rate_hz
    if clock_hz <= 0 or rate_hz <= 0:
        name, value = ("clock", clock_hz) if clock_hz <= 0 else ("rate", rate_hz)
        raise NothingToShow(name, f"{float(value):g} Hz", "more than 0 Hz")
    if rate_hz > clock_hz:
        found = f"{_number(rate_hz)} Hz from a clock of {_number(clock_hz)} Hz"
        raise NothingToShow("rate", found, "at most that of the clock: a divider only slows down")
    return clock_hz / rate_hz


def _number(value: Fraction) -> str:
    """A number in decimal, six digits behind the point at most."""
    if value.denominator == 1:
        return f"{value.numerator:,}"
    return f"{float(value):,.6f}".rstrip("0").rstrip(".")


def _ratio_text(exact: Fraction, whole: int, clock_hz: Fraction | None, rate_hz: Fraction | None) -> str:
    if clock_hz is None:
        return f"{whole:,} clock{'s' * (whole != 1)} per period"
    quotient = f"{_number(clock_hz)} Hz / {_number(rate_hz or Fraction(1))} Hz = {_number(exact)}"
    return f"{quotient} clocks per period" if exact == whole else f"{quotient}, rounded to {whole:,}"


def _rate_facts(exact: Fraction, whole: int, clock_hz: Fraction | None) -> list[tuple[str, str]]:
    if clock_hz is None or exact == whole:
        return []
    parts_per_million = (exact / whole - 1) * 10**6
    quickness = "fast" if parts_per_million > 0 else "slow"
    off = f"{float(abs(parts_per_million)):.3g} parts per million"
    if abs(parts_per_million) >= PERCENT:
        off = f"{float(abs(parts_per_million) / PERCENT):.3g} %"
    off += f" too {quickness}"
    return [("real rate", f"{_number(clock_hz / whole)} Hz, {off}")]


def _register(name: str, span: int) -> list[tuple[str, str]]:
    bits = max((span - 1).bit_length(), 1)
    facts = [(name, f"runs 0 to {span - 1:,}; the terminal count is {span - 1:,}")]
    width = f"{bits} bit{'s' * (bits != 1)}: 2^{bits} = {1 << bits:,} states"
    if bits > 1:
        width += f"; {bits - 1} would run over after {1 << bits - 1:,} clocks"
    facts.append(("width", width))
    return facts


def _halves(ratio: int) -> str:
    low, high = ratio - ratio // 2, ratio // 2
    if low == high:
        return f"{high:,} clocks low, {high:,} clocks high"
    return f"{low:,} and {high:,} clocks: an odd ratio has no equal halves"


def _near(*turns: int) -> list[int | None]:
    """Clocks around 0 and every turn, None where some are left out."""
    wanted = sorted({c for t in (0, *turns) for c in range(t - AROUND, t + AROUND + 1) if c >= 0})
    listed: list[int | None] = []
    for clock in wanted:
        if listed and clock != (listed[-1] or 0) + 1:
            listed.append(None)
        listed.append(clock)
    return listed


_GAP = Row(("⋯", "⋯", "", ""))


def _ticking(ratio: int) -> list[Row]:
    rows = []
    for clock in _near(ratio, 2 * ratio):
        if clock is None:
            rows.append(_GAP)
            continue
        count = clock % ratio
        last = count == ratio - 1
        ticks = count == 0 and clock > 0
        after = "terminal count: back to 0, and the tick register is set" if last else f"{count + 1:,}"
        rows.append(Row((f"{clock:,}", f"{count:,}", "1" if ticks else "0", after), marked=last))
    return rows


def _toggling(half: int) -> list[Row]:
    rows = []
    for clock in _near(half, 2 * half):
        if clock is None:
            rows.append(_GAP)
            continue
        count, level = clock % half, clock // half % 2
        last = count == half - 1
        after = f"terminal count: back to 0, output turns to {1 - level}" if last else f"{count + 1:,}"
        rows.append(Row((f"{clock:,}", f"{count:,}", str(level), after), marked=last))
    return rows


def _comparing(ratio: int, high: int) -> list[Row]:
    rows = []
    low = ratio - high
    for clock in _near(low, ratio):
        if clock is None:
            rows.append(_GAP)
            continue
        count = clock % ratio
        last = count == ratio - 1
        turns = last or count == low - 1
        after = "terminal count: back to 0" if last else f"{count + 1:,}"
        after += f", output turns to {int(not last)}" if turns else ""
        rows.append(Row((f"{clock:,}", f"{count:,}", str(int(count >= low)), after), marked=turns))
    return rows


def _remarks(ratio: int, *, square: bool) -> tuple[str, ...]:
    if square:
        return ("Clock 0 is the first one after reset.",)
    return (
        "Clock 0 is the first one after reset. The tick here is a register, high in the clock after the "
        f"terminal count; logic that compares the count with {ratio - 1:,} ticks one clock earlier. "
        f"Compared with {ratio:,} instead, the register would run 0 to {ratio:,}: {ratio + 1:,} clocks.",
    )
