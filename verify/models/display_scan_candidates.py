"""Which scanned displays a bench and a first observation allow."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import product
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from verify.models.agreement import opening
from verify.models.controls import position
from verify.models.display_candidates import (
    MANY_RUNS,
    STRANGERS,
    Glyphs,
    Observed,
    TimerSource,
    calm_opening,
    face_facts,
    longest_agreeing,
    point_facts,
)
from verify.models.display_face import Face, Leading
from verify.models.display_given import GivenNumber, SampledDisplay
from verify.models.display_layout import Layout
from verify.models.display_leaps import SharedLeaps
from verify.models.display_reading import PatternTrace, compatible, points_of
from verify.models.display_scanned import ScannedDisplay, SharedLines
from verify.models.family import USUAL_LATENCIES_CYCLES, Candidate, OptionError
from verify.models.scan import Scan
from verify.models.scan_reading import LONGEST_FILL_CYCLES, Measured, SelectLines, measure_scan, stuck_at
from verify.models.segment_wires import POINT
from verify.models.timer_model import Timer
from verify.signals import ObservedTrace, Stimulus

__all__ = ["ScanOptions", "ScannedReading"]

SHORTEST_LOOK_CYCLES = 1 << 14
LONGEST_LOOK_CYCLES = 1 << 17
"""A scan is looked at for at least so many clocks before its dwell is known, and for at most so many."""

PATIENT_LOOK_CYCLES = 600_000
"""A select that stands still for all that time is looked at for twice as long: 20 bits go round."""

LATEST_CYCLES = 8
"""A tick's way to the digits and the latency are at most so many clocks together."""


@dataclass(frozen=True, slots=True)
class ScanOptions:
    """The option ``scan``; None: left out, so it is measured."""

    dwell: int | None = None
    blanking: int | None = None
    active_low: bool | None = None

    @classmethod
    def read(cls, table: Mapping[str, Any]) -> ScanOptions:
        """Raises :class:`OptionError` for keys and values that it cannot have."""
        for key in table:
            if key not in {"dwell", "select_active", "blanking"}:
                raise OptionError("scan", f"the key {key}", "dwell, select_active or blanking")
        active = table.get("select_active")
        if active not in (None, "high", "low"):
            raise OptionError("scan", f"select_active = {active!r}", '"high" or "low"')
        dwell, blanking = cls._clocks(table, "dwell", 1), cls._clocks(table, "blanking", 0)
        if dwell is not None and blanking is not None and blanking >= dwell:
            raise OptionError("scan", f"blanking = {blanking}", f"fewer clocks than the dwell, {dwell}")
        return cls(dwell, blanking, None if active is None else active == "low")

    @staticmethod
    def _clocks(table: Mapping[str, Any], key: str, least: int) -> int | None:
        value = table.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int) or value < least:
            raise OptionError("scan", f"{key} = {value!r}", f"a number of clocks, at least {least}")
        return value

    def lines(self, digits: int) -> SelectLines:
        """The select lines, active high until more is known."""
        return SelectLines(digits, bool(self.active_low))


@dataclass(frozen=True, slots=True)
class _Choice:
    """One timer, one way of hiding zeros, one scan, one latency.

    ``sampled``: of a number that comes in, whether it is taken in only as a digit's turn begins.
    """

    candidate: Candidate
    leading: Leading
    scan: Scan
    latency: int
    sampled: bool = False


@dataclass(frozen=True, slots=True)
class ScannedReading:
    """Everything that a bench says about a scanned display."""

    timers: TimerSource
    layout: Layout
    glyphs: Glyphs
    leading: tuple[Leading, ...]
    in_reset: int | None
    lines: SharedLines
    options: ScanOptions
    leaps: SharedLeaps = field(default_factory=SharedLeaps)

    def candidates(self, observed: Observed, *, reset: bool) -> tuple[Candidate, ...]:
        """The displays that can be behind ``observed``; where none can, the most usual ones."""
        timers = self._timers(reset=reset)
        if observed is None:
            return self._unobserved(timers)
        reading = replace(self, lines=self._lines(*observed))
        stimulus, trace = observed
        lines = reading.lines.select
        measured = measure_scan(
            lines, stimulus, trace, 1, dwell=self.options.dwell, blanking=self.options.blanking
        )
        if measured is None and self.options.dwell is None and stuck_at(lines, stimulus, trace, 1):
            return reading._unseen(timers)
        measured = measured or Measured(reading._guess(), 0, 0, 0)
        return reading._matched(timers, measured, observed, reset=reset)

    def _timers(self, *, reset: bool) -> tuple[Candidate, ...]:
        """Without a reset registers begin as they would after one, or a clear has to come first."""
        timers = self.timers(True, None)
        if reset:
            return timers
        known = {c.model for c in timers}
        return (*timers, *(c for c in self.timers(False, None) if c.model not in known))

    def _guess(self) -> Scan:
        dwell = self.options.dwell or 1
        blanking = min(self.options.blanking or 0, dwell - 1)
        return Scan(self.lines.select.digits, dwell, blanking)

    def _unobserved(self, timers: Iterable[Candidate]) -> tuple[Candidate, ...]:
        """Models to make a first stimulus for, long enough to see the scan go round."""
        scan = self._guess()
        look = SHORTEST_LOOK_CYCLES
        if self.options.dwell is not None:
            look = min(2 * scan.period, LONGEST_LOOK_CYCLES)
        return tuple(
            Candidate(
                replace(self._display(_Choice(c, leading, scan, 0), glyphs, 0), shortest_look=look),
                {**c.measured, **facts, **face_facts(leading)},
                c.latencies,
                c.shift,
            )
            for c in timers
            for leading in self.leading
            for glyphs, facts in self.glyphs
        )

    def _unseen(self, timers: Iterable[Candidate]) -> tuple[Candidate, ...]:
        """The select stood still for as long as anybody looked: nothing can be promised."""
        scan = replace(self._guess(), fill=NEVER)
        look = PATIENT_LOOK_CYCLES
        return tuple(
            Candidate(
                replace(
                    self._display(_Choice(c, "shown", scan, 0), self.glyphs[0][0], 0),
                    unseen=True,
                    shortest_look=look,
                ),
                {**c.measured, "scan": "slower than the first look"},
                c.latencies,
                c.shift,
            )
            for c in timers
        )

    def _lines(self, stimulus: Stimulus, trace: ObservedTrace) -> SharedLines:
        """The level that selects is the one that one line at a time has; of two lines it cannot be told."""
        del stimulus
        lines = self.lines.select
        if self.options.active_low is not None or lines.digits <= 2:
            return self.lines
        unknown = None if trace.unknown is None else trace.unknown[1]
        selected = [
            int((replace(lines, active_low=low).digit(trace.values[1], unknown) >= 0).sum())
            for low in (False, True)
        ]
        return replace(self.lines, select=replace(lines, active_low=selected[1] > selected[0]))

    def _matched(
        self,
        timers: Iterable[Candidate],
        measured: Measured,
        observed: tuple[Stimulus, ObservedTrace],
        *,
        reset: bool,
    ) -> tuple[Candidate, ...]:
        patterns = self._patterns(observed[1])
        seen = {int(p) for values, known in patterns for p in set(values[known].tolist())}
        glyphs = [g for g in self.glyphs if compatible(g[0], seen)] or list(self.glyphs)
        points = points_of(patterns) if self.lines.point or self.lines.wires.has_point else 0
        first = self._choices(timers, measured)
        calm = calm_opening(self._display(first[0], glyphs[0][0], points), observed)
        found, whole = self._agreeing(first, glyphs[0][0], points, *calm)
        if not whole and reset:
            others = [replace(c, scan=replace(c.scan, continues=True)) for c in first]
            going, whole = self._agreeing(others, glyphs[0][0], points, *calm)
            found = going if whole else found
        if whole:
            varied = [c for choice in found for c in _variants(choice)]
            found, whole = self._agreeing(varied, glyphs[0][0], points, *opening(*observed, MANY_RUNS))
        found = found if whole else found[:STRANGERS]
        made = [self._made(c, measured, g, facts, points) for c in found for g, facts in glyphs]
        # With a latency that nothing agrees with there must still be something to compare.
        usual = self._made(first[0], measured, *glyphs[0], points)
        kept = [m for m in made if m.model != usual.model or m.latencies != usual.latencies]
        return (*kept, replace(usual, latencies=None))

    def _choices(self, timers: Iterable[Candidate], measured: Measured) -> list[_Choice]:
        return [
            _Choice(candidate, leading, measured.delayed(latency), latency)
            for candidate in timers
            for leading in self.leading
            for latency in candidate.latencies or USUAL_LATENCIES_CYCLES
            if candidate.shift + latency <= LATEST_CYCLES
        ]

    def _agreeing(
        self,
        choices: list[_Choice],
        glyphs: tuple[int, ...],
        points: int,
        stimulus: Stimulus,
        trace: ObservedTrace,
    ) -> tuple[list[_Choice], bool]:
        models = [(self._display(c, glyphs, points), (c.latency,)) for c in choices]
        standing, whole = longest_agreeing(models, range(len(models)), stimulus, trace)
        return [choices[i] for i in standing], whole

    def _made(
        self,
        choice: _Choice,
        measured: Measured,
        glyphs: tuple[int, ...],
        shapes: Mapping[str, Any],
        points: int,
    ) -> Candidate:
        facts = {
            **choice.candidate.measured,
            **shapes,
            **_late(measured, choice.scan),
            **point_facts(points),
            **face_facts(choice.leading),
            **self._scan_facts(choice.scan),
        }
        if isinstance(choice.candidate.model, GivenNumber):
            facts["number_taken"] = "as a turn begins" if choice.sampled else "at every clock"
        model = self._display(choice, glyphs, points)
        return Candidate(model, facts, (choice.latency,), choice.candidate.shift)

    def _scan_facts(self, scan: Scan) -> Mapping[str, Any]:
        facts: dict[str, Any] = {}
        if None in (self.options.dwell, self.options.blanking, self.options.active_low):
            active = "low" if self.lines.select.active_low else "high"
            facts["scan"] = {"dwell": scan.dwell, "select_active": active, "blanking": scan.blanking}
        facts["scan_from_digit"] = scan.first
        if scan.fill > LONGEST_FILL_CYCLES:
            facts["scan_begins"] = scan.fill
        if scan.digits > 2:
            facts["scan_direction"] = "down" if scan.descending else "up"
        if scan.pauses:
            facts["scan_in_pause"] = "stands"
        if scan.clears:
            facts["scan_on_clear"] = "starts anew"
        if scan.continues:
            facts["scan_in_reset"] = "goes on"
        return facts

    def _patterns(self, trace: ObservedTrace) -> PatternTrace:
        """Per digit the patterns while it is selected, the point line's bit put in."""
        unknown = [_unknown(trace, i) for i in range(len(self.lines.signals))]
        selects = None if trace.unknown is None else trace.unknown[1]
        digits = self.lines.select.digit(trace.values[1], selects)
        patterns = np.asarray(self.lines.wires.word(trace.values[0]), dtype=np.int64)
        known = ~unknown[0]
        if self.lines.point:
            lit = np.asarray(trace.values[2], dtype=np.int64) ^ int(self.lines.wires.active_low)
            patterns = patterns | lit * POINT
            known &= ~unknown[2]
        return [(patterns, known & (digits == digit)) for digit in range(self.lines.select.digits)]

    def _display(self, choice: _Choice, glyphs: tuple[int, ...], points: int) -> ScannedDisplay:
        face = Face(self.layout, glyphs, choice.leading, points)
        kind = SampledDisplay if choice.sampled else ScannedDisplay
        return kind(
            cast(Timer, choice.candidate.model),
            face,
            self.lines,
            choice.scan,
            delay=choice.latency,
            shown_in_reset=self.in_reset,
            leaps=self.leaps,
        )


def _late(measured: Measured, scan: Scan) -> dict[str, int]:
    """By how many clocks more than a turn has the first digit changes after the first reset.

    Not told of a scan that reset does not start, nor of one with gaps, which may begin with one: it
    would follow the length of the gap.
    """
    if scan.digits == 1 or scan.blanking or scan.continues or scan.fill > LONGEST_FILL_CYCLES:
        return {}
    return {"scan_late": measured.begins - measured.slot * scan.dwell}


NEVER = 1 << 61
"""A fill that does not run out."""


def _variants(choice: _Choice) -> Iterable[_Choice]:
    """What enable and clear may do to a scan that reset starts, and when a number is taken in."""
    inputs = choice.candidate.model.inputs
    if isinstance(choice.candidate.model, GivenNumber):
        yield choice
        if choice.scan.digits > 1:
            yield replace(choice, sampled=True)
        return
    paused = position(inputs, "enable") >= 0 and not choice.scan.continues
    cleared = position(inputs, "clear") >= 0 and not choice.scan.continues
    for pauses, clears in product(
        (False, True) if paused else (False,), (False, True) if cleared else (False,)
    ):
        yield replace(choice, scan=replace(choice.scan, pauses=pauses, clears=clears))


def _unknown(trace: ObservedTrace, index: int) -> NDArray[np.bool_]:
    unknown = None if trace.unknown is None else trace.unknown[index]
    if unknown is None:
        return np.zeros(len(trace.cycles), dtype=bool)
    return np.asarray(unknown != 0, dtype=bool)
