"""What the digits of a display look like in one cycle, expected and observed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from verify.models.display_scanned import ScannedDisplay
from verify.models.display_static import StaticDisplay
from verify.models.golden import GoldenModel
from verify.models.segment_decoder import Decoder, HoldingDecoder
from verify.models.segment_wires import SegmentWires
from verify.pictures import DigitLook, DisplayLook
from verify.signals import ExpectedTrace, ObservedTrace, width_mask

__all__ = ["display_look"]

Word = tuple[int, int, int, int]
"""Expected, promised, observed and unknown bits of one signal in one cycle."""


def display_look(
    model: GoldenModel,
    expected: ExpectedTrace,
    observed: ObservedTrace,
    cycle: int,
    ports: Mapping[str, str],
) -> DisplayLook | None:
    """The look in ``cycle``; None for a model that shows no digits.

    ``expected``: already delayed. ``ports``: role -> port. A scanned display is put together from
    the latest turn of every digit, as the eye does it.
    """
    if isinstance(model, HoldingDecoder):
        model = model.decoder
    if isinstance(model, Decoder):
        words = [_word(expected, observed, i, cycle) for i in range(len(model.wires.names))]
        port = ports.get(model.wires.names[0], "") if len(words) == 1 else "segments"
        return DisplayLook((_digit(model.wires, _joined(words), port, cycle),))
    if isinstance(model, StaticDisplay):
        return DisplayLook(tuple(_static(model, expected, observed, cycle, ports)))
    if isinstance(model, ScannedDisplay):
        return DisplayLook(tuple(_scanned(model, expected, observed, cycle, ports)), scanned=True)
    return None


def _static(
    model: StaticDisplay,
    expected: ExpectedTrace,
    observed: ObservedTrace,
    cycle: int,
    ports: Mapping[str, str],
) -> list[DigitLook]:
    panel = model.panel
    signals = panel.signals
    words = [_word(expected, observed, i, cycle) for i in range(len(signals))]
    found, taken = [], 0
    for i, wires in enumerate(panel.wires):
        if panel.packed:
            word, name = _cut(words[0], taken, wires.wires), signals[0].name
            taken += wires.wires
        else:
            word, name = words[i], signals[i].name
        look = _digit(wires, word, ports.get(name, name), cycle)
        if panel.point:
            look = _with_point(look, _cut(words[-1], i, 1), active_low=panel.wires[0].active_low)
        found.append(look)
    return found


def _scanned(
    model: ScannedDisplay,
    expected: ExpectedTrace,
    observed: ObservedTrace,
    cycle: int,
    ports: Mapping[str, str],
) -> list[DigitLook]:
    lines = model.lines
    port = ports.get("select", "select")
    found = []
    for digit in range(lines.select.digits):
        name = port if lines.select.digits == 1 else f"{port}, line {digit}"
        turn = _latest_turn(model, expected, cycle, digit)
        look = DigitLook(name, None) if turn is None else _lit(model, expected, observed, turn, digit, name)
        if turn != cycle and cycle >= 0:
            # A digit that lights out of turn lets its neighbour's segments shine through.
            now = _lit(model, expected, observed, cycle, digit, name)
            if now.observed or now.unknown:
                look = replace(
                    look,
                    cycle=cycle,
                    observed=look.observed | now.observed,
                    unknown=look.unknown | now.unknown,
                    promised=look.promised | now.promised,
                )
        found.append(look)
    return found


def _latest_turn(model: ScannedDisplay, expected: ExpectedTrace, cycle: int, digit: int) -> int | None:
    """The latest cycle up to ``cycle`` in which the digit should be selected."""
    index = expected.signals.index(model.lines.signals[1])
    last = int(np.searchsorted(expected.cycles, cycle, side="right"))
    selects = np.asarray(model.lines.select.word(expected.values[index][:last]) == 1 << digit, dtype=bool)
    cares = None if expected.cares is None else expected.cares[index]
    if cares is not None:
        selects &= np.asarray(cares[:last] == width_mask(model.lines.select.digits), dtype=bool)
    rows = np.flatnonzero(selects)
    if len(rows) == 0:
        return None
    row = int(rows[-1])
    return cycle if row == last - 1 else int(expected.cycles[row + 1]) - 1


def _lit(
    model: ScannedDisplay,
    expected: ExpectedTrace,
    observed: ObservedTrace,
    cycle: int,
    digit: int,
    name: str,
) -> DigitLook:
    """The digit in one cycle: dark unless it is selected."""
    lines = model.lines
    first = expected.signals.index(lines.signals[0])
    look = _digit(lines.wires, _word(expected, observed, first, cycle), name, cycle)
    if lines.point:
        word = _word(expected, observed, first + 2, cycle)
        look = _with_point(look, word, active_low=lines.wires.active_low)
    want, care, have, unknown = _word(expected, observed, first + 1, cycle)
    due = lines.select.word(want) >> digit & 1
    on = lines.select.word(have) >> digit & 1
    unsure = unknown >> digit & 1
    everything = width_mask(8 if look.has_point else 7)
    if not due:
        # Unselected is dark, whatever the segment lines say.
        look = replace(look, expected=0, promised=everything if care >> digit & 1 else 0)
    if unsure:
        return replace(look, observed=0, unknown=look.observed | look.unknown or everything)
    return look if on else replace(look, observed=0, unknown=0)


def _digit(wires: SegmentWires, word: Word, port: str, cycle: int) -> DigitLook:
    expected, promised, observed, unknown = word
    lost = wires.mask(unknown)
    return DigitLook(
        port,
        cycle,
        int(wires.word(expected)),
        int(wires.mask(promised)),
        int(wires.word(observed)) & ~int(lost),
        int(lost),
        wires.has_point,
    )


def _with_point(look: DigitLook, word: Word, *, active_low: bool) -> DigitLook:
    """The look with a decimal point that has a line of its own."""
    want, care, have, unknown = word
    lit = int(active_low)
    return replace(
        look,
        expected=look.expected | (want ^ lit) << 7,
        promised=look.promised | care << 7,
        observed=look.observed | ((have ^ lit) & ~unknown & 1) << 7,
        unknown=look.unknown | unknown << 7,
        has_point=True,
    )


def _word(expected: ExpectedTrace, observed: ObservedTrace, index: int, cycle: int) -> Word:
    at = max(int(np.searchsorted(expected.cycles, cycle, side="right")) - 1, 0)
    seen = max(int(np.searchsorted(observed.cycles, cycle, side="right")) - 1, 0)
    care = None if expected.cares is None else expected.cares[index]
    unknown = None if observed.unknown is None else observed.unknown[index]
    mask = expected.signals[index].mask
    return (
        int(expected.values[index][at]),
        mask if care is None else int(care[at]),
        int(observed.values[index][seen]),
        0 if unknown is None else int(unknown[seen]),
    )


def _cut(word: Word, offset: int, width: int) -> Word:
    expected, promised, observed, unknown = (part >> offset & width_mask(width) for part in word)
    return expected, promised, observed, unknown


def _joined(words: list[Word]) -> Word:
    """Signals of one bit as one word, unless there is only one signal."""
    if len(words) == 1:
        return words[0]
    expected, promised, observed, unknown = (
        sum((word[part] & 1) << bit for bit, word in enumerate(words)) for part in range(4)
    )
    return expected, promised, observed, unknown
