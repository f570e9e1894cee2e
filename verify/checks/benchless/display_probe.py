"""A look at what a display shows, to tell which level lights, at which end a is, and what is above nine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from verify.bench import Bench
from verify.bench.inference.findings import Choice
from verify.checks.benchless.glyph_probe import lit
from verify.checks.candidates import candidates_of
from verify.checks.planning import plan_check
from verify.checks.session import Session
from verify.checks.settings import SimulatorChoice
from verify.compare import cut_stimulus
from verify.errors import EveryedgeError
from verify.models.family import OptionError
from verify.models.glyphs import usual_patterns
from verify.stimulus import first_look

__all__ = ["DisplayProbe", "probe_display"]

_ENOUGH = 3
"""Digits that have to look like one before a wiring is believed, and letters before they are."""

_MANY = 6
"""Digits without which nothing is said of letters."""

_LETTERS = {glyph for digit in range(10, 16) for glyph in usual_patterns(digit)} - {
    glyph for digit in range(10) for glyph in usual_patterns(digit)
}

_MOST_CYCLES = 100_000


@dataclass(frozen=True, slots=True)
class DisplayProbe:
    """``wirings``: those under which most of what is shown are digits, all of them where it cannot be told.

    ``hexadecimal``: whether letters are shown; None: it cannot be told.
    """

    wirings: tuple[Choice, ...]
    hexadecimal: bool | None = None

    def narrowed(self, axis: tuple[Choice, ...]) -> tuple[Choice, ...]:
        """The choices of an axis that agree with what was seen."""
        if all(wiring in axis for wiring in self.wirings):
            return self.wirings
        if self.hexadecimal is None or not any("above_nine" in choice.expect for choice in axis):
            return axis
        return tuple(c for c in axis if (c.expect.get("above_nine") == "hex") == self.hexadecimal) or axis


def probe_display(
    bench: Bench, wirings: Sequence[Choice], simulator: SimulatorChoice, *, seed: int
) -> DisplayProbe:
    """Look at the digits for as long as a first look takes."""
    try:
        words = _shown(bench, "icarus" if simulator == "auto" else simulator, seed)
    except (EveryedgeError, OptionError):
        return DisplayProbe(tuple(wirings))
    digits = {glyph for digit in range(10) for glyph in usual_patterns(digit)}
    scores = []
    for wiring in wirings:
        glyphs = {lit(word, wires, wiring) for word, wires in words} - {0}
        scores.append((len(glyphs & digits), -len(glyphs - digits - _LETTERS)))
    best = max(scores)
    if best[0] < _ENOUGH:
        return DisplayProbe(tuple(wirings))
    kept = tuple(wiring for wiring, score in zip(wirings, scores, strict=True) if score == best)
    given = bool(bench.checks[0].ports.get("values"))
    letters = len({lit(word, wires, kept[0]) for word, wires in words} & _LETTERS)
    return DisplayProbe(kept, letters >= _ENOUGH if given and best[0] >= _MANY else None)


def _shown(bench: Bench, simulator: SimulatorChoice, seed: int) -> set[tuple[int, int]]:
    """Every word that the segment lines had in a short look, and how many lines there are."""
    check = plan_check(bench, bench.checks[0]).scaled
    model = candidates_of(check)[0].model
    look = first_look(model, resets=check.resets, seed=seed).stimulus
    if look.length > _MOST_CYCLES:
        look = cut_stimulus(look, 0, _MOST_CYCLES - 1)
    with Session(check, simulator) as session:
        observed = session.observe(model, look)
    found = set()
    unknown = observed.unknown or (None,) * len(observed.values)
    for signal, values, unknowns in zip(observed.signals, observed.values, unknown, strict=True):
        if signal.name.partition("[")[0] in {"digits", "segments"}:
            rows = zip(
                values.tolist(), unknowns.tolist() if unknowns is not None else [0] * len(values), strict=True
            )
            found |= {(int(value), signal.width) for value, x in rows if not x}
    return found
