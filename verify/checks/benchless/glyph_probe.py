"""A look at what a decoder shows for each digit, to tell which level lights and at which end a is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from verify.bench import Bench, resolve
from verify.bench.inference.findings import Choice
from verify.checks.candidates import candidates_of
from verify.checks.session import Session
from verify.errors import EveryedgeError
from verify.models.family import OptionError
from verify.models.glyphs import usual_patterns
from verify.signals import Run, Stimulus

__all__ = ["GlyphProbe", "lit", "probe_glyphs"]

_HELD_CYCLES = 12

_ENOUGH = 7
"""Digits of ten that must look right before polarity and order are believed."""

_LETTERS = 3
"""Letters of six that make a decoder a hexadecimal one."""

_DIGITS, _NIBBLES = 10, 16
_SEGMENTS = 7


@dataclass(frozen=True, slots=True)
class GlyphProbe:
    """``wiring``: the choice under which most digits are what they should be; ``above``: 10 to 15."""

    wiring: Choice
    above: str | None

    def narrowed(self, axis: tuple[Choice, ...]) -> tuple[Choice, ...]:
        """The choices of an axis that agree with what was seen; all of them where none does."""
        if self.wiring in axis:
            return (self.wiring,)
        # what looks like a 9 held may as well be drawn
        seen = {self.above, "any"} if self.above == "hold" else {self.above}
        kept = tuple(c for c in axis if c.expect.get("above_nine", self.above) in seen)
        return (kept or axis) if self.above is not None else axis


def probe_glyphs(bench: Bench, wirings: Sequence[Choice]) -> GlyphProbe | None:
    """Show every digit for a while; None when it cannot be told which of ``wirings`` is meant."""
    try:
        patterns, wires = _shown(bench)
    except (EveryedgeError, OptionError):
        return None
    best: tuple[int, Choice] | None = None
    for wiring in wirings:
        shown = [lit(pattern, wires, wiring) for pattern in patterns[:_DIGITS]]
        right = sum(pattern in usual_patterns(digit) for digit, pattern in enumerate(shown))
        if best is None or right > best[0]:
            best = (right, wiring)
    if best is None or best[0] < min(_ENOUGH, len(patterns) - 1):
        return None
    above = None
    if len(patterns) == _NIBBLES:
        shown = [lit(pattern, wires, best[1]) for pattern in patterns[_DIGITS:]]
        letters = sum(p in usual_patterns(_DIGITS + i) for i, p in enumerate(shown))
        held = len(set(patterns[_DIGITS - 1 :])) == 1
        above = "hex" if letters >= _LETTERS else "hold" if held else "any" if any(shown) else "blank"
    return GlyphProbe(best[1], above)


def _shown(bench: Bench) -> tuple[list[int | None], int]:
    """The wires as one word for every digit, None where one is unknown; and how many wires."""
    check = resolve(bench, bench.checks[0])
    model = candidates_of(check)[0].model
    resting = {s.name: 0 for s in model.inputs} | dict(getattr(model, "resting", {}))
    width = next(s.width for s in model.inputs if s.name == "digit")
    digits = range(min(1 << width, _NIBBLES))
    runs = [
        Run(_HELD_CYCLES, tuple(d if s.name == "digit" else resting[s.name] for s in model.inputs))
        for d in digits
    ]
    with Session(check, "icarus") as session:
        observed = session.observe(model, Stimulus.of(model.inputs, runs))
    found: list[int | None] = []
    for digit in digits:
        last = (digit + 1) * _HELD_CYCLES - 1
        row = max(i for i, cycle in enumerate(observed.cycles.tolist()) if cycle <= last)
        unknown = observed.unknown or ()
        if any(column is not None and int(column[row]) for column in unknown):
            found.append(None)
            continue
        values = [int(column[row]) for column in observed.values]
        found.append(values[0] if len(values) == 1 else sum(v << i for i, v in enumerate(values)))
    return found, sum(s.width for s in observed.signals)


def lit(pattern: int | None, wires: int, wiring: Choice) -> int | None:
    """The lit segments, a in bit 0, if the wires are as ``wiring`` says."""
    if pattern is None:
        return None
    word = pattern if wiring.expect["active"] == "high" else ~pattern & (1 << wires) - 1
    moved = wiring.ports.get("segments")
    if wires > _SEGMENTS and moved is not None:
        word = word & 0x7F if str(moved[0]).endswith("[7]") else word >> 1
    elif wires > _SEGMENTS and wiring.expect.get("order") == "a_msb":
        word >>= 1
    word &= 0x7F
    return int(f"{word:07b}"[::-1], 2) if wiring.expect.get("order") == "a_msb" else word
