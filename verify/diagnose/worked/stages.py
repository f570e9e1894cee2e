"""A timer: what each stage holds after so many seconds, and what its next clock does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from verify.sheet import NothingToShow, Row, Sheet, binary_text

__all__ = ["worked_stages"]

MOST_STAGES = 8
LARGEST_MODULO = 10**6


def worked_stages(
    seconds: int,
    *,
    modulo: Sequence[int] = (60, 60, 100),
    direction: Literal["up", "down"] = "up",
    clock_hz: int | None = None,
) -> Sheet:
    """Stages, fastest first, that stand at ``seconds`` ticks.

    ``modulo``: states of each stage. ``clock_hz``: also tell what divides the clock down to the
    tick. Raises :class:`NothingToShow`.
    """
    _refuse(seconds, modulo)
    names = stage_names(len(modulo))
    span = math.prod(modulo)
    held, carried = _split(seconds % span, modulo)
    return Sheet(
        title=f"A timer at {seconds:,} s",
        facts=tuple(_facts(seconds, modulo, held, clock_hz)),
        columns=("stage", "runs", "holds", "digits", "in binary", f"next {direction}"),
        rows=tuple(_rows(names, modulo, held, _moves(held, modulo, direction))),
        right=frozenset({2, 3}),
        remarks=tuple(_reasons(names, modulo, held, carried)) + _end_remarks(held, modulo, direction),
    )


def stage_names(count: int) -> tuple[str, ...]:
    """What people call the stages of a timer that counts seconds."""
    usual = ("seconds", "minutes", "hours", "days")
    return tuple(usual[i] if i < len(usual) else f"stage {i}" for i in range(count))


def _refuse(seconds: int, modulo: Sequence[int]) -> None:
    if not 1 <= len(modulo) <= MOST_STAGES:
        raise NothingToShow("modulo", f"{len(modulo)} stages", f"1 to {MOST_STAGES}")
    for number in modulo:
        if not 2 <= number <= LARGEST_MODULO:
            raise NothingToShow("modulo", str(number), f"2 to {LARGEST_MODULO:,}")
    if seconds < 0:
        raise NothingToShow("seconds", str(seconds), "0 or more")


def _split(rest: int, modulo: Sequence[int]) -> tuple[list[int], list[int]]:
    """Per stage what it holds, and the number of which that is the remainder."""
    held, carried = [], []
    for number in modulo:
        carried.append(rest)
        held.append(rest % number)
        rest //= number
    return held, carried


def _width(modulo: int) -> int:
    return max(len(str(modulo - 1)), 1)


def _shown(held: Sequence[int], modulo: Sequence[int]) -> str:
    """As a display shows it, the slowest stage first."""
    return ":".join(f"{h:0{_width(m)}d}" for h, m in zip(reversed(held), reversed(modulo), strict=True))


def _facts(
    seconds: int, modulo: Sequence[int], held: Sequence[int], clock_hz: int | None
) -> list[tuple[str, str]]:
    span = math.prod(modulo)
    facts = [("shows", _shown(held, modulo))]
    stages = " x ".join(f"{m}" for m in modulo)
    start = _shown([0] * len(modulo), modulo)
    facts.append(("full trip", f"{stages} = {span:,} s, then it starts again at {start}"))
    if seconds >= span:
        facts.append(("trips", f"{seconds:,} s is {seconds // span:,} full trips and {seconds % span:,} s"))
    if clock_hz is not None:
        bits = max((clock_hz - 1).bit_length(), 1)
        count = f"counts 0 to {clock_hz - 1:,} in {bits} bits"
        facts.append(("sub-second", f"{clock_hz:,} clocks to a second: {count}"))
        facts.append(("clocks", f"{seconds:,} s is clock {seconds * clock_hz:,} after reset"))
    return facts


def _moves(held: Sequence[int], modulo: Sequence[int], direction: str) -> list[tuple[int, str]]:
    """Per stage the value after the next tick, and why."""
    moves, carry = [], True
    for value, number in zip(held, modulo, strict=True):
        if not carry:
            moves.append((value, "stays"))
        elif direction == "up":
            carry = value == number - 1
            moves.append((0, "rolls over, carries") if carry else (value + 1, "counts up"))
        else:
            carry = value == 0
            moves.append((number - 1, "runs out, borrows") if carry else (value - 1, "counts down"))
    return moves


def _rows(
    names: Sequence[str], modulo: Sequence[int], held: Sequence[int], moves: list[tuple[int, str]]
) -> list[Row]:
    rows = []
    for name, number, value, (after, why) in zip(names, modulo, held, moves, strict=True):
        digits = f"{value:0{_width(number)}d}"
        bits = binary_text(value, max((number - 1).bit_length(), 1))
        cells = (name, f"0 to {number - 1}", str(value), " ".join(digits), bits, f"{after}: {why}")
        rows.append(Row(cells, marked="," in why))
    return rows


def _reasons(
    names: Sequence[str], modulo: Sequence[int], held: Sequence[int], carried: Sequence[int]
) -> list[str]:
    reasons = []
    for i, (name, number, value, rest) in enumerate(zip(names, modulo, held, carried, strict=True)):
        text = f"{name}: {rest:,} mod {number} = {value}"
        if i + 1 < len(names):
            text += f"; {rest:,} / {number} leaves {rest // number:,} for {names[i + 1]}"
        reasons.append(text + ".")
    return reasons


def _end_remarks(held: Sequence[int], modulo: Sequence[int], direction: str) -> tuple[str, ...]:
    if direction == "up" and all(h == m - 1 for h, m in zip(held, modulo, strict=True)):
        return ("Every stage is at its last state: the next tick is the end of the trip.",)
    if direction == "down" and not any(held):
        return ("Every stage is at 0: a timer that counts down has run out here.",)
    return ()
