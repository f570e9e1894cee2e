"""Note which values the stimuli reached, for pictures.

Like all coverage it is counted on what was expected: what a design did wrong is not covered by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product
from math import prod
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from verify.models.bcd_converter import Converter
from verify.models.bcd_sequential import SequentialConverter
from verify.models.counter_model import Counter
from verify.models.display_face import Face
from verify.models.display_reading import stages_of
from verify.models.display_scanned import ScannedDisplay
from verify.models.display_static import StaticDisplay
from verify.models.display_timer import TimerDisplay
from verify.models.glyphs import ALL_LIT
from verify.models.golden import Drivable, GoldenModel, State
from verify.models.playing import ResetKind, expect
from verify.models.segment_decoder import Decoder, HoldingDecoder
from verify.models.timer_model import Timer
from verify.pictures import Axis, CoverageMap
from verify.signals import Column, ExpectedTrace, ObservedTrace, Reset, Stimulus

__all__ = ["MapCounter"]

LONGEST_AXIS = 100
"""Cells in a picture with two axes."""

LONGEST_LINE = 256
"""Cells of a single line."""

NOTED = 1 << 20
"""Values, or pairs of values, up to which each is noted by itself."""

FEW_CLOCKS, MANY_RUNS = 1_000, 500
"""A stimulus with fewer clocks, or with more runs, says less of a scanned display than playing its timer
once more would cost; it is left out where the next one begins with a reset."""

DIGITS = tuple(str(digit) for digit in range(10))


class MapCounter:
    """Adds up the maps of one model over many stimuli."""

    def __init__(self, model: GoldenModel) -> None:
        self._noters = _noters(model)

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:
        """Note one played stimulus."""
        for noter in self._noters:
            noter.add(stimulus, expected)

    def follow(self, model: GoldenModel) -> None:
        """Go on with another reading of the same design, such as one with other glyphs."""
        for noter in self._noters:
            if isinstance(noter, _DecoderNoter | _StaticNoter | _ScannedNoter):
                noter.follow(model)

    def report(self) -> tuple[CoverageMap, ...]:
        """The maps; none for a model without one."""
        return tuple(found for noter in self._noters for found in noter.maps())


class _Noter(Protocol):
    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None: ...

    def maps(self) -> tuple[CoverageMap, ...]: ...


def _noters(model: GoldenModel) -> tuple[_Noter, ...]:
    kinds: tuple[tuple[Any, Any], ...] = (
        (Timer, _TimerNoter),
        (Counter, _CounterNoter),
        (Converter, _InputNoter),
        (SequentialConverter, _InputNoter),
        (Decoder, _DecoderNoter),
        (HoldingDecoder, _DecoderNoter),
        (StaticDisplay, _StaticNoter),
        (ScannedDisplay, _ScannedNoter),
    )
    return tuple(noter(model) for kind, noter in kinds if isinstance(model, kind))


class _Grid:
    """A flag for every combination of one or two values."""

    def __init__(self, name: str, across: tuple[str, int], down: tuple[str, int] | None = None) -> None:
        self.name = name
        longest = LONGEST_LINE if down is None else LONGEST_AXIS
        self.across = _axis(*across, longest)
        self.down = None if down is None else _axis(*down, longest)
        self.flags = np.zeros((1 if down is None else down[1], across[1]), dtype=bool)
        self.full = False

    def note(self, across: Column, down: Column | int = 0, known: NDArray[np.bool_] | None = None) -> None:
        if self.full:
            return
        inside = np.asarray((across < self.flags.shape[1]) & (down < self.flags.shape[0]), dtype=bool)
        if known is not None:
            inside &= known
        rows = down if isinstance(down, int) else down[inside].astype(np.int64)
        self.flags[rows, across[inside].astype(np.int64)] = True
        self.full = bool(self.flags.all())

    def map(self) -> CoverageMap:
        counts = self.flags.astype(np.int64)
        counts = np.add.reduceat(counts, np.arange(0, counts.shape[1], self.across.per_cell), axis=1)
        if self.down is not None:
            counts = np.add.reduceat(counts, np.arange(0, counts.shape[0], self.down.per_cell), axis=0)
        return CoverageMap(self.name, self.across, self.down, tuple(counts.ravel().tolist()))


def _axis(name: str, values: int, longest: int) -> Axis:
    return Axis(name, values, -(-values // longest))


def _known(expected: ExpectedTrace, indices: Sequence[int]) -> NDArray[np.bool_] | None:
    """The rows in which the outputs are promised; None: in all of them."""
    if expected.cares is None:
        return None
    known = np.ones(len(expected.cycles), dtype=bool)
    for i in indices:
        care = expected.cares[i]
        if care is not None:
            known &= np.asarray(care == expected.signals[i].mask, dtype=bool)
    return known


class _StagePairs:
    """Which pairs of neighbouring stages occurred together; a single stage goes alone."""

    def __init__(self, names: Sequence[str], moduli: Sequence[int]) -> None:
        self.grids: list[tuple[int, int | None, _Grid]] = []
        if len(moduli) == 1 and moduli[0] <= NOTED:
            self.grids.append((0, None, _Grid(f"{names[0]} reached", (names[0], moduli[0]))))
        for i, (low, high) in enumerate(pairwise(moduli)):
            if low * high <= NOTED:
                title = f"{names[i + 1]} and {names[i]} reached"
                grid = _Grid(title, (names[i], low), (names[i + 1], high))
                self.grids.append((i, i + 1, grid))

    @property
    def full(self) -> bool:
        """Every pair has occurred."""
        return all(grid.full for _, _, grid in self.grids)

    def note(self, stages: Sequence[Column], known: NDArray[np.bool_] | None) -> None:
        for i, j, grid in self.grids:
            grid.note(stages[i], 0 if j is None else stages[j], known)

    def maps(self) -> tuple[CoverageMap, ...]:
        return tuple(grid.map() for _, _, grid in self.grids)


class _TimerNoter:
    def __init__(self, model: Timer) -> None:
        names = [model.outputs[i].name for i in range(len(model.shown))]
        self.indices = range(len(model.shown))
        moduli = [model.chain.moduli[stage] for stage in model.shown]
        if model.chain.cut:  # not all numbers of the slowest occur with those below it
            moduli, names = moduli[:-2], names[:-2]
        self.pairs = _StagePairs(names, moduli)

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:  # noqa: ARG002
        self.pairs.note([expected.values[i] for i in self.indices], _known(expected, self.indices))

    def maps(self) -> tuple[CoverageMap, ...]:
        return self.pairs.maps()


class _CounterNoter:
    """The number behind the ports; a counter of two digits fills a field of tens and ones."""

    def __init__(self, model: Counter) -> None:
        self.face, self.ports = model.face, len(model.face.widths)
        radices = model.face.radices
        self.ones = radices[0] if len(radices) == 2 and model.modulo <= NOTED else None
        self.grid: _Grid | None = None
        if self.ones is not None:
            self.grid = _Grid("values reached", ("ones", radices[0]), ("tens", radices[1]))
        elif model.modulo <= NOTED:
            self.grid = _Grid("values reached", (model.outputs[0].name, model.modulo))

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:  # noqa: ARG002
        if self.grid is None:
            return
        words = expected.values[: self.ports]
        if self.ports > 1:
            weights = [prod(self.face.radices[:i]) for i in range(self.ports)]
            number: Any = sum(word * weight for word, weight in zip(words, weights, strict=True))
        else:
            number = self.face.read(words[0])[0]
        known = _known(expected, range(self.ports))
        if self.ones is None:
            self.grid.note(number, known=known)
        else:
            self.grid.note(number % self.ones, number // self.ones, known)

    def maps(self) -> tuple[CoverageMap, ...]:
        return () if self.grid is None else (self.grid.map(),)


class _InputNoter:
    """The numbers given to a converter to convert; of a wide one, the ranges they lie in."""

    def __init__(self, model: Converter | SequentialConverter) -> None:
        limits = model.limits if isinstance(model, Drivable) else {}
        signal = model.inputs[0]
        self.values = limits.get(signal.name, signal.mask) + 1
        self.grid = _Grid("numbers converted", ("binary", self.values)) if self.values <= NOTED else None
        self.wide: set[int] = set()
        self.start = next((i for i, s in enumerate(model.inputs) if s.name == "start"), None)

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:  # noqa: ARG002
        given = stimulus.values[0]
        if self.start is not None:
            given = given[np.asarray(stimulus.values[self.start] == 1, dtype=bool)]
        if self.grid is not None:
            self.grid.note(given)
        elif len(self.wide) < NOTED:
            self.wide.update(given.tolist())

    def maps(self) -> tuple[CoverageMap, ...]:
        if self.grid is not None:
            return (self.grid.map(),)
        axis = _axis("binary", self.values, LONGEST_LINE)
        counts = [0] * axis.cells
        for value in self.wide:
            if value < self.values:
                counts[value // axis.per_cell] += 1
        return (CoverageMap("numbers converted", axis, None, tuple(counts)),)


class _DecoderNoter:
    """Every digit under every combination of blank, lamp test and point."""

    def __init__(self, model: Decoder | HoldingDecoder) -> None:
        self.follow(model)
        self.controls = self.decoder.inputs[1:]
        self.digits = self.decoder.inputs[0].mask + 1
        self.flags = np.zeros((1 << len(self.controls), self.digits), dtype=bool)

    def follow(self, model: Any) -> None:
        self.holds = isinstance(model, HoldingDecoder)
        self.decoder: Decoder = model.decoder if self.holds else model

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:  # noqa: ARG002
        rows: Any = np.zeros(len(stimulus), np.int64)
        for bit, values in enumerate(stimulus.values[1:]):
            rows = rows | values << bit
        self.flags[rows, stimulus.values[0]] = True

    def maps(self) -> tuple[CoverageMap, ...]:
        if self.flags.size > LONGEST_LINE:
            return ()
        combinations = [c[::-1] for c in product((0, 1), repeat=len(self.controls))]
        labels = tuple(
            " + ".join(s.name for s, on in zip(self.controls, c, strict=True) if on) or "digit alone"
            for c in combinations
        )
        patterns = tuple(self._pattern((digit, *c)) for c in combinations for digit in range(self.digits))
        down = Axis("controls", len(labels), labels=labels)
        flags = tuple(int(flag) for flag in self.flags.ravel().tolist())
        return (CoverageMap("digits decoded", Axis("digit", self.digits), down, flags, patterns),)

    def _pattern(self, inputs: tuple[int, ...]) -> int | None:
        pattern, known = self.decoder.pattern(inputs)
        held = self.holds and inputs[0] >= len(self.decoder.glyphs)
        if (held or not known) and not self.decoder.overridden(inputs):
            return None
        return int(self.decoder.shown(pattern, inputs))


class _GlyphNoter:
    """Which patterns were shown in which place; which digits those are, the face of the model says."""

    def __init__(self, places: int) -> None:
        self.flags = np.zeros((places, ALL_LIT + 1), dtype=bool)

    def note(self, place: int, patterns: Column) -> None:
        self.flags[place, np.unique(np.asarray(patterns, dtype=np.int64) & ALL_LIT)] = True

    def map(self, face: Face) -> CoverageMap:
        places = face.layout.places
        glyphs = face.glyphs[: len(DIGITS)]
        possible = [_digits_in(face.layout.moduli[stage], place) for stage, place in places]
        down = Axis("place", len(places), labels=tuple(f"digit {i}" for i in range(len(places))))
        return CoverageMap(
            "digits shown",
            Axis("glyph", len(DIGITS)),
            down,
            tuple(int(flags[glyph]) for flags in self.flags for glyph in glyphs),
            tuple(g if digit in there else None for there in possible for digit, g in enumerate(glyphs)),
        )


def _digits_in(modulo: int, place: int) -> range:
    """The digits that numbers below ``modulo`` have in a decimal place."""
    highest = (modulo - 1) // 10**place
    return range(min(highest, 9) + 1)


def _display_pairs(model: TimerDisplay) -> _StagePairs:
    moduli = model.face.layout.moduli
    usual = ("seconds", "minutes", "hours") if moduli[:2] == (60, 60) and len(moduli) <= 3 else ()
    return _StagePairs(usual or [f"stage {i}" for i in range(len(moduli))], moduli)


class _StaticNoter:
    def __init__(self, model: StaticDisplay) -> None:
        self.model, self.pairs = model, _display_pairs(model)
        self.glyphs = _GlyphNoter(len(model.face.layout.places))

    def follow(self, model: Any) -> None:
        self.model = model

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:  # noqa: ARG002
        model = self.model
        ports = range(len(model.panel.signals))
        known = _known(expected, ports)
        rows = np.ones(len(expected.cycles), dtype=bool) if known is None else known
        patterns = model.panel.patterns([expected.values[i] for i in ports])
        for place, pattern in enumerate(patterns):
            self.glyphs.note(place, pattern[rows])
        seen = ObservedTrace(expected.signals, expected.length, expected.cycles, expected.values)
        read = stages_of(model.face.layout, [(p, rows) for p in patterns], model.face.glyphs, seen)
        unknown = read.unknown or ()
        for column in unknown:
            if column is not None:
                rows = rows & np.asarray(column == 0, dtype=bool)
        self.pairs.note(read.values, rows)

    def maps(self) -> tuple[CoverageMap, ...]:
        return (*self.pairs.maps(), self.glyphs.map(self.model.face))


class _ScannedNoter:
    """``state``: of the timer behind the scan, carried on from one window of a stimulus to the next.

    ``lost``: it is not known until the next stimulus that opens with a reset.
    """

    def __init__(self, model: ScannedDisplay) -> None:
        self.state: State | None = None
        self.lost = False
        self.model, self.pairs = model, _display_pairs(model)
        self.glyphs = _GlyphNoter(len(model.face.layout.places))

    def follow(self, model: Any) -> None:
        self.model = model

    def add(self, stimulus: Stimulus, expected: ExpectedTrace) -> None:
        lines = self.model.lines
        selected = lines.select.digit(expected.values[1], None)
        known = _known(expected, (0, 1))
        if known is not None:
            selected = np.where(known, selected, -1)
        patterns = np.asarray(lines.wires.word(expected.values[0]), dtype=np.int64)
        for place in range(lines.select.digits):
            self.glyphs.note(place, patterns[selected == place])
        if not self.pairs.full and self._follows(stimulus):
            played, self.state = expect(self.model.timer, stimulus, ResetKind.ASYNCHRONOUS, self.state)
            stages = range(self.model.stages)
            self.pairs.note([played.values[i] for i in stages], _known(played, stages))

    def _follows(self, stimulus: Stimulus) -> bool:
        """Whether the timer's state is known where the stimulus begins, and playing it is worth its time."""
        opens = stimulus.reset[:1].tolist() == [Reset.HELD]
        worth = stimulus.length >= FEW_CLOCKS and len(stimulus) <= MANY_RUNS
        self.lost = (self.lost and not opens) or (opens and not worth)
        return not self.lost

    def maps(self) -> tuple[CoverageMap, ...]:
        return (*self.pairs.maps(), self.glyphs.map(self.model.face))
