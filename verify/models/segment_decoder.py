"""A digit on seven segments."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from verify.models.controls import control, position
from verify.models.glyphs import ALL_LIT, BLANK
from verify.models.golden import Leap, State, Values, select
from verify.models.lookup import look_up, look_up_all
from verify.models.segment_wires import POINT, SegmentWires
from verify.models.stateless import Stateless, still
from verify.signals import Column, Signal, column

__all__ = ["Decoder", "HoldingDecoder", "Overrides"]

EVERYTHING = ALL_LIT | POINT


@dataclass(frozen=True, slots=True)
class Overrides:
    """What ``blank`` and ``lamp_test`` do to each other and to the decimal point.

    ``lamp_test_wins``: when both are asked for. ``blank_point``: blanking puts the point out too.
    ``lamp_test_point``: lamp test lights it too. ``held``: a digit that is held is the last thing
    that was shown, blank and lamp test included; else the last glyph.
    """

    lamp_test_wins: bool = True
    blank_point: bool = True
    lamp_test_point: bool = True
    held: bool = False

    def apply(self, pattern: Any, blank: Any, lamp_test: Any) -> Any:
        """The pattern that is shown in place of ``pattern``."""
        dark = BLANK if self.blank_point else pattern & POINT
        lit = EVERYTHING if self.lamp_test_point else pattern & POINT | ALL_LIT
        if self.lamp_test_wins:
            return select(lamp_test, lit, select(blank, dark, pattern))
        return select(blank, dark, select(lamp_test, lit, pattern))


@dataclass(frozen=True, slots=True)
class Decoder(Stateless):
    """Every digit has its glyph; ``blank``, ``lamp_test`` and ``point`` are there when ``inputs`` say so.

    ``glyphs``: patterns of digits 0 up; a higher digit shows nothing, or is not promised
    (``above`` = ``any``). ``shown_in_reset``: pattern while reset is held, None: not said.
    """

    inputs: tuple[Signal, ...]
    wires: SegmentWires
    glyphs: tuple[int, ...]
    above: Literal["blank", "any"] = "blank"
    overrides: Overrides = Overrides()
    shown_in_reset: int | None = None

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """The segments."""
        return self.wires.signals

    @property
    def limits(self) -> Mapping[str, int]:
        """Every digit may be driven."""
        return {}

    @property
    def resting(self) -> Mapping[str, int]:
        """Digit 0, neither blank nor lamp test, no point."""
        return {signal.name: 0 for signal in self.inputs}

    @property
    def reset_shows(self) -> int | None:
        """The wires as one number while reset is held, where that is promised."""
        return None if self.shown_in_reset is None else int(self.wires.word(self.shown_in_reset))

    @property
    def reset_outputs(self) -> tuple[tuple[int, int], ...] | None:
        """The same for each output, with the mask of the segments: nothing is said of the point."""
        if self.reset_shows is None:
            return None
        masks = self.wires.split(self.wires.mask(ALL_LIT))
        return tuple(zip(self.wires.split(self.reset_shows), masks, strict=True))

    def pattern(self, inputs: Values) -> tuple[Any, Any]:
        """The glyph of the digit with its point, and whether it is promised."""
        digit = inputs[0]
        known = digit < len(self.glyphs)
        glyph = look_up((*self.glyphs, BLANK), select(known, digit, len(self.glyphs)))
        point = control(inputs, position(self.inputs, "point"), 0)
        return glyph | select(point, POINT, 0), known if self.above == "any" else 1

    def overridden(self, inputs: Values) -> Any:
        """Blank or lamp test decides about the segments."""
        return self._asked(inputs, "blank") | self._asked(inputs, "lamp_test")

    def _asked(self, inputs: Values, name: str) -> Any:
        return control(inputs, position(self.inputs, name), 0)

    def shown(self, pattern: Any, inputs: Values) -> Any:
        """What is shown instead of ``pattern``, blank and lamp test considered."""
        return self.overrides.apply(pattern, self._asked(inputs, "blank"), self._asked(inputs, "lamp_test"))

    def out(self, state: State, inputs: Values) -> Values:  # noqa: ARG002 -- the contract's signature
        """The wires."""
        return self.wires.split(self.wires.word(self.shown(self.pattern(inputs)[0], inputs)))

    def cares(self, state: State, inputs: Values) -> Values | None:  # noqa: ARG002
        """The point always, the segments of a digit that has a glyph or is overridden."""
        if self.above != "any" or len(self.glyphs) > self.inputs[0].mask:
            return None
        return self.promised(self.pattern(inputs)[1] | self.overridden(inputs))

    def promised(self, known: Any) -> Values:
        """The mask of promised wires when the glyph is known, or is not."""
        return self.wires.split(self.wires.mask(select(known, EVERYTHING, POINT)))

    def table(
        self, columns: tuple[Column, ...]
    ) -> tuple[tuple[Column, ...], tuple[Column | None, ...] | None]:
        """The same for columns of inputs."""
        rows = len(columns[0])
        blank, lamp_test, point = (self._column(columns, name) for name in ("blank", "lamp_test", "point"))
        digits = columns[0].astype(np.int64)
        known = digits < len(self.glyphs)
        pattern = look_up_all((*self.glyphs, BLANK), np.where(known, digits, len(self.glyphs)))
        pattern = pattern | point * POINT
        dark = np.zeros(rows, np.int64) if self.overrides.blank_point else pattern & POINT
        lit = pattern * 0 + EVERYTHING if self.overrides.lamp_test_point else pattern & POINT | ALL_LIT
        if self.overrides.lamp_test_wins:
            pattern = np.where(lamp_test, lit, np.where(blank, dark, pattern))
        else:
            pattern = np.where(blank, dark, np.where(lamp_test, lit, pattern))
        outputs = self._split(self.wires.word(pattern))
        if self.above != "any" or len(self.glyphs) > self.inputs[0].mask:
            return outputs, None
        promised = known | (blank == 1) | (lamp_test == 1)
        return outputs, self._split(self.wires.mask(np.where(promised, EVERYTHING, POINT)))

    def _column(self, columns: tuple[Column, ...], name: str) -> Column:
        index = position(self.inputs, name)
        return columns[index] if index >= 0 else np.zeros(len(columns[0]), np.int64)

    def _split(self, words: Column) -> tuple[Column, ...]:
        return tuple(
            column(np.asarray(part), s.width)
            for part, s in zip(self.wires.split(words), self.outputs, strict=True)
        )


@dataclass(frozen=True, slots=True)
class HoldingDecoder:
    """A decoder that keeps showing the last digit it had a glyph for.

    State: the pattern that is held, 1 when it is known. ``decoder`` decides about everything else.
    """

    decoder: Decoder

    @property
    def inputs(self) -> tuple[Signal, ...]:
        """Those of the decoder."""
        return self.decoder.inputs

    @property
    def outputs(self) -> tuple[Signal, ...]:
        """The segments."""
        return self.decoder.outputs

    @property
    def limits(self) -> Mapping[str, int]:
        """Every digit may be driven."""
        return {}

    @property
    def resting(self) -> Mapping[str, int]:
        """As of the decoder."""
        return self.decoder.resting

    @property
    def reset_shows(self) -> int | None:
        """As of the decoder."""
        return self.decoder.reset_shows

    @property
    def reset_outputs(self) -> tuple[tuple[int, int], ...] | None:
        """As of the decoder."""
        return self.decoder.reset_outputs

    @property
    def full_cycle(self) -> int:
        """A new digit every clock."""
        return 1

    def landmarks(self) -> tuple[int, ...]:
        """Nothing happens by itself."""
        return ()

    def encode(self, name: str, number: int) -> int:  # noqa: ARG002 -- the contract's signature
        """The number itself."""
        return number

    def initial(self) -> State:
        """What is shown in reset, where that is said; else nothing is known."""
        shown = self.decoder.shown_in_reset
        return (BLANK, 0) if shown is None else (shown, 1)

    def out(self, state: State, inputs: Values) -> Values:
        """The wires."""
        wires = self.decoder.wires
        return wires.split(wires.word(self._shown(state, inputs)[0]))

    def cares(self, state: State, inputs: Values) -> Values | None:
        """The segments of a glyph that is known or overridden."""
        return self.decoder.promised(self._shown(state, inputs)[1])

    def _shown(self, state: State, inputs: Values) -> tuple[Any, Any]:
        glyph, known = self._glyph(state, inputs)
        overridden = self.decoder.overridden(inputs)
        return self.decoder.shown(glyph, inputs), select(overridden, 1, known)

    def _glyph(self, state: State, inputs: Values) -> tuple[Any, Any]:
        """The digit's own, or the one that is held under the present point."""
        pattern, _ = self.decoder.pattern(inputs)
        new = inputs[0] < len(self.decoder.glyphs)
        held = state[0] & ALL_LIT | pattern & POINT
        return select(new, pattern, held), select(new, 1, state[1])

    def next(self, state: State, inputs: Values) -> State:
        """Hold what is shown, or the glyph behind it."""
        held = self.decoder.overrides.held
        pattern, known = self._shown(state, inputs) if held else self._glyph(state, inputs)
        return (pattern & ALL_LIT, known)

    def leap(self, state: State, inputs: Values, cycles: int) -> Leap:  # noqa: ARG002
        """Steady inputs, steady outputs: what is shown is what is held."""
        after = self.next(state, inputs)
        return still(after, self.outputs, self.out(state, inputs), self.cares(state, inputs))
