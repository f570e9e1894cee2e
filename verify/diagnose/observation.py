"""What was seen of a design."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from verify.compare import Reading, Trial, cut_observed, cut_stimulus, try_reading
from verify.diagnose.deadline import Deadline, timed
from verify.diagnose.dense import Dense
from verify.diagnose.kinds import follows
from verify.models.golden import GoldenModel
from verify.models.playing import expect
from verify.signals import ExpectedTrace, ObservedTrace, Reset, Stimulus, merged_cycles

__all__ = ["Observation"]

OPENING_RUNS, OPENING_CYCLES = 40, 60
"""Of a longer stimulus its beginning is played first, so many cycles beyond the first difference."""

PARTS_ROWS = (24, 120, 600, 3_000)
"""Changes and runs of the beginnings of a long observation that are looked at before it."""

HEAVY_ROWS = 8_000
"""Changes and runs of a long observation."""


@dataclass(frozen=True, slots=True, eq=False)
class Observation:
    """A stimulus and what came of it; ``reading``: the golden one that it was held against.

    ``observed`` None: the reading matched it on every cycle and it was not kept, so what the
    reading promises stands for it. ``trial``: the reading held against it, None: it matches.
    ``flushed_cycles``: it began at power-up, with the reset held for so long before; None: it began
    somewhere else. ``turn``: its place among the observations of one simulation that follow each
    other without a gap, from power-up on; None: it is not one of those.
    """

    reading: Reading
    stimulus: Stimulus
    observed: ObservedTrace | None
    trial: Trial | None = None
    flushed_cycles: int | None = None
    turn: int | None = None
    _kept: dict[str, Any] = field(default_factory=dict, repr=False)

    @classmethod
    def of(
        cls,
        reading: Reading,
        stimulus: Stimulus,
        observed: ObservedTrace,
        *,
        flushed_cycles: int | None = None,
    ) -> Observation:
        """An observation that nobody has compared yet."""
        trial = try_reading(reading, stimulus, observed)
        return cls(reading, stimulus, observed, trial, flushed_cycles)

    @property
    def first_difference(self) -> int | None:
        """The first cycle in which the golden reading is wrong."""
        return None if self.trial is None else self.trial.difference.first

    @property
    def fails(self) -> bool:
        """The golden reading does not match it."""
        return self.first_difference is not None

    def expected(self, deadline: Deadline) -> ExpectedTrace:
        """What the golden reading promises, not delayed. Raises OutOfTime."""
        if self.trial is not None:
            return self.trial.expected
        if "expected" not in self._kept:
            model: GoldenModel = self.reading.model
            if follows(model) and self.observed is not None:
                model = model.follow(self.stimulus, self.observed)
            self._kept["expected"] = expect(timed(model, deadline), self.stimulus, self.reading.kind)[0]
        expected: ExpectedTrace = self._kept["expected"]
        return expected

    @property
    def dense(self) -> Dense | None:
        """What was seen cycle by cycle, when that is short."""
        if "dense" not in self._kept:
            self._kept["dense"] = None if self.observed is None else Dense.of(self.observed)
        dense: Dense | None = self._kept["dense"]
        return dense

    @property
    def opening(self) -> Observation:
        """Its beginning, up to shortly after the first difference; itself when it is short."""
        first = self.first_difference
        if self.observed is None or first is None or len(self.stimulus) <= OPENING_RUNS:
            return self
        if "opening" not in self._kept:
            end = min(first + OPENING_CYCLES, self.observed.length) - 1
            stimulus, observed = cut_stimulus(self.stimulus, 0, end), cut_observed(self.observed, 0, end)
            self._kept["opening"] = Observation.of(
                self.reading, stimulus, observed, flushed_cycles=self.flushed_cycles
            )
        opening: Observation = self._kept["opening"]
        return opening

    @property
    def parts(self) -> tuple[Observation, ...]:
        """Its beginning, longer and longer, when it is long: what does not fit there fits nowhere."""
        if "parts" not in self._kept:
            points = self.stimulus.starts
            if self.observed is not None:
                points = merged_cycles(points, self.observed.cycles)
            sizes = [size for size in PARTS_ROWS if 2 * size < len(points)]
            self._kept["parts"] = tuple(self._until(int(points[size]) - 1) for size in sizes)
        parts: tuple[Observation, ...] = self._kept["parts"]
        return parts

    def _until(self, last: int) -> Observation:
        """Up to a cycle; nobody has compared it."""
        observed = None if self.observed is None else cut_observed(self.observed, 0, last)
        stimulus = cut_stimulus(self.stimulus, 0, last)
        return Observation(self.reading, stimulus, observed, None, self.flushed_cycles)

    @property
    def rows(self) -> int:
        """About how much there is to play and to compare."""
        changes = self.stimulus.length if self.observed is None else len(self.observed.cycles)
        return changes + len(self.stimulus)

    @property
    def heavy(self) -> bool:
        """So long that an edit is played on it only when all else speaks for it."""
        return self.rows > HEAVY_ROWS

    @property
    def first_release(self) -> int:
        """The cycle in which a reset with which it opens is over."""
        opens = len(self.stimulus) and self.stimulus.reset[0] != Reset.RELEASED
        return int(self.stimulus.cycles[0]) if opens else 0

    @property
    def second_reset(self) -> int:
        """The cycle from which the kind of reset can matter again after the first run."""
        if "second_reset" not in self._kept:
            at = self.stimulus.starts[1:][self.stimulus.reset[1:] != Reset.RELEASED]
            self._kept["second_reset"] = int(at[0]) if len(at) else self.stimulus.length
        second: int = self._kept["second_reset"]
        return second
