"""Displays of a number that comes in: nothing in them counts.

The number is one port of several decimal digits, or a port for each digit. A display with lines of
its own for every digit has no state; a scanned one has that of its scan, and may take the number in
only as the turn of a digit begins.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from verify.models.display_face import Face
from verify.models.display_layout import Layout
from verify.models.display_scanned import ScannedDisplay, picked
from verify.models.display_static import Panel
from verify.models.display_timer import as_columns
from verify.models.family import OptionError
from verify.models.glyphs import ALL_LIT
from verify.models.golden import Leap, State, Values, select
from verify.models.scan import DARK, FILLING
from verify.models.segment_decoder import EVERYTHING
from verify.models.stateless import Stateless
from verify.signals import Column, Signal

__all__ = ["GivenNumber", "GivenPanel", "SampledDisplay", "arrange_given"]

DIGIT_BITS = 4
DIGIT_STATES, NIBBLE_STATES = 10, 16


def arrange_given(
    digits: int, widths: Sequence[int], moduli: Sequence[int] | None, *, above_nine: bool
) -> Layout:
    """Which port shows up on which of ``digits`` digits.

    ``above_nine``: whether something is said of digits above 9, so that they are shown as well.
    Raises :class:`OptionError` when ports and digits do not come out even.
    """
    if len(widths) == digits and all(width <= DIGIT_BITS for width in widths) and moduli is None:
        most = NIBBLE_STATES if above_nine else DIGIT_STATES
        return Layout(tuple(min(most, 1 << width) for width in widths), (1,) * digits)
    if moduli is None:
        if len(widths) != 1:
            need = f"{digits} ports of up to four bits, or one with the whole number"
            raise OptionError("values", f"{len(widths)} ports for {digits} digits", need)
        moduli = (min(10**digits, 1 << widths[0]),)
    if len(moduli) != len(widths):
        raise OptionError(
            "modulo", f"{len(moduli)} numbers", f"{len(widths)}, one per port with what is shown"
        )
    natural = [len(str(modulo - 1)) for modulo in moduli[:-1]]
    last = digits - sum(natural)
    if last < 1 or moduli[-1] > 10**last:
        listed = ", ".join(str(modulo) for modulo in moduli)
        raise OptionError("modulo", f"numbers below {listed}", f"what {digits} digits can show")
    return Layout(tuple(moduli), (*natural, last))


@dataclass(frozen=True, slots=True)
class GivenNumber(Stateless):
    """Stands where a display otherwise has its timer: what comes in is what is shown."""

    inputs: tuple[Signal, ...]
    moduli: tuple[int, ...]

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """The inputs once more."""
        return tuple(Signal(f"stages[{i}]", signal.width) for i, signal in enumerate(self.inputs))

    @property
    def limits(self) -> Mapping[str, int]:
        """The highest number that can be shown."""
        pairs = zip(self.inputs, self.moduli, strict=True)
        return {signal.name: min(modulo - 1, signal.mask) for signal, modulo in pairs}

    @property
    def resting(self) -> Mapping[str, int]:
        """Zeros."""
        return {signal.name: 0 for signal in self.inputs}

    def encode(self, name: str, number: int) -> int:  # noqa: ARG002 -- the contract's signature
        """Numbers come in as they are."""
        return number

    @property
    def full_cycle(self) -> int:
        """Nothing goes round here."""
        return 1

    def landmarks(self) -> tuple[int, ...]:
        """What comes in shows at once."""
        return (0,)

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the contract's signature
        """The numbers; one that cannot be shown is taken for 0, and not promised."""
        return tuple(select(v < m, v, 0) for v, m in zip(inputs, self.moduli, strict=True))

    def cares(self, state: State, inputs: Values) -> Values | None:  # noqa: ARG002
        """Nothing of a number that cannot be shown."""
        if all(s.mask < m for s, m in zip(self.inputs, self.moduli, strict=True)):
            return None
        pairs = zip(inputs, self.moduli, self.inputs, strict=True)
        return tuple(select(v < m, s.mask, 0) for v, m, s in pairs)


@dataclass(frozen=True, slots=True)
class GivenPanel(Stateless):
    """A display without a clock of its own: every digit has its lines."""

    number: GivenNumber
    face: Face
    panel: Panel
    shown_in_reset: int | None = None

    @property
    def inputs(self) -> tuple[Signal, ...]:
        """The number."""
        return self.number.inputs

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """The digits."""
        return self.panel.signals

    @property
    def limits(self) -> Mapping[str, int]:
        """As of the number."""
        return self.number.limits

    @property
    def resting(self) -> Mapping[str, int]:
        """As of the number."""
        return self.number.resting

    @property
    def reset_outputs(self) -> tuple[tuple[int, int], ...] | None:
        """The segments of every digit while reset is held; nothing is said of points."""
        if self.shown_in_reset is None:
            return None
        digits = len(self.panel.wires)
        words = self.panel.words([self.shown_in_reset] * digits)
        return tuple(zip(words, self.panel.words([ALL_LIT] * digits, masks=True), strict=True))

    def out(self, state: State, inputs: Values) -> Values:
        """The digits of the number."""
        return tuple(self.panel.words(self.face.patterns(self.number.out(state, inputs))))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """A digit is promised when its number is, and all that could make it a leading zero."""
        masks = self.number.cares(state, inputs)
        if masks is None:
            return None
        known = self.face.known([select(mask != 0, 1, 0) for mask in masks])
        return tuple(self.panel.words([k * EVERYTHING for k in known], masks=True))

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """See :class:`verify.models.golden.CombinationalModel`."""
        proper = [np.asarray(c < m, dtype=bool) for c, m in zip(columns, self.number.moduli, strict=True)]
        shown = [np.where(p, c, 0).astype(np.int64) for p, c in zip(proper, columns, strict=True)]
        words = as_columns(self.panel.words(self.face.columns(shown)), self.outputs)
        if all(bool(p.all()) for p in proper):
            return words, None
        known = [np.asarray(k, dtype=np.int64) * EVERYTHING for k in self.face.known(proper)]
        return words, as_columns(self.panel.words(known, masks=True), self.outputs)


@dataclass(frozen=True, slots=True)
class SampledDisplay(ScannedDisplay):
    """A scanned display that takes the number in as a turn begins, and shows that for the whole turn.

    State: that of the scan, whether a number has been taken since reset, and that number.
    """

    def initial(self) -> State:
        """As after reset: what is shown up to the first turn is not promised."""
        return (*self.scan.initial(), 0, *(0 for _ in self.inputs))

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the contract's signature
        """The digit whose turn it is, of the number that was taken."""
        digit, lit = self.scan.at(state[1])
        pattern = picked(self.face.patterns(self.timer.out((), state[3:])), digit)
        one_hot = select(lit, picked([1 << i for i in range(self.scan.digits)], digit), 0)
        return self.lines.words(pattern, one_hot)

    def cares(self, state: State, inputs: Values) -> Values | None:  # noqa: ARG002
        """The selects after the fill, the segments while a digit is selected and a number is known."""
        digit, lit = self.scan.at(state[1])
        filled = select(state[0] == 0, 1, 0)
        pattern = picked(self.masks_of(self.timer.cares((), state[3:])), digit)
        shown = select(filled & lit & state[2], pattern, 0)
        return self.lines.masks(shown, filled * self.lines.signals[1].mask)

    def next(self, state: State, inputs: Values) -> State:
        """The number is taken in with the step to the next turn."""
        scan = self.scan.next((state[0], state[1]), 1, 0)
        begins = select(scan[1] == state[1], 0, scan[1] % self.scan.dwell == 0)
        kept = [select(begins, new, old) for new, old in zip(inputs, state[3:], strict=True)]
        return (*scan, select(begins, 1, state[2]), *kept)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:
        """The turns, those after the first with the number that comes in."""
        track = self.scan.track((state[0], state[1]), 1, 0, cycles)
        waits = 0 if self.scan.continues else state[0]
        dwell = self.scan.dwell
        first = waits + dwell - state[1] % dwell  # from here on the new number is shown
        offsets, turns = track.offsets, track.turns
        new = offsets >= first
        digits = np.maximum(turns, 0)
        old_patterns = self.face.patterns(self.timer.out((), state[3:]))
        new_patterns = self.face.patterns(self.timer.out((), inputs))
        patterns = np.where(new, np.asarray(new_patterns)[digits], np.asarray(old_patterns)[digits])
        words = self.lines.words(patterns, np.where(turns >= 0, np.int64(1) << digits, 0))
        old_masks = np.asarray(self.masks_of(self.timer.cares((), state[3:]))) * state[2]
        new_masks = np.asarray(self.masks_of(self.timer.cares((), inputs)))
        promised = np.where(turns > DARK, np.where(new, new_masks[digits], old_masks[digits]), 0)
        selects = np.where(turns == FILLING, 0, self.lines.signals[1].mask)
        taken = cycles >= first
        after = (*track.state, int(taken or state[2]), *(inputs if taken else state[3:]))
        return Leap(
            after,
            offsets,
            as_columns(words, self.lines.signals),
            as_columns(self.lines.masks(promised, selects), self.lines.signals),
        )
