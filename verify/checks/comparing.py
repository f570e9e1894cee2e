"""Stimuli played on a design and held against the readings that still stand."""

from __future__ import annotations

from collections.abc import Sequence

from verify.bench import ResolvedCheck
from verify.checks.differing.failing import Failing
from verify.checks.differing.memory import Memory
from verify.checks.driven import DrivenCounter
from verify.checks.passing.facts import simplest, twins
from verify.checks.readings import ReadingSet, readings
from verify.checks.session import Session
from verify.checks.settings import Listener
from verify.compare import CoverageCounter, Reading, Stream, Trial
from verify.models.family import Candidate
from verify.models.golden import CombinationalModel, GoldenModel
from verify.signals import ObservedTrace, Stimulus
from verify.stimulus import Stage

__all__ = ["STREAMED_CYCLES", "Comparison"]

STREAMED_CYCLES = 200_000
"""Longer stimuli are compared window by window."""


class Comparison:
    """What one check has compared so far.

    ``standing``: the readings that nothing speaks against yet. ``counter``: what the stimuli
    reached, None before the first of them has matched. ``played``: those that have matched, in
    order; ``memory``: with what was seen. ``exhaustive``: one of them had every input value.
    Raises :class:`Failing` as soon as no reading is left, and what the session raises.
    """

    def __init__(self, check: ResolvedCheck, session: Session, listener: Listener) -> None:
        self._check, self._session, self._listener = check, session, listener
        self._readings = ReadingSet([], carries_state=False)
        self._owed: list[Stage] = []
        """What the twins of the leading reading were not held against."""
        self.counter: CoverageCounter | None = None
        self.played: list[Stimulus] = []
        self.memory = Memory()
        self.driven = DrivenCounter()
        self.exhaustive = False

    @property
    def standing(self) -> list[Reading]:
        """The readings that nothing speaks against yet."""
        return self._readings.standing

    @property
    def model(self) -> GoldenModel:
        """That of the simplest reading: they all have the same inputs."""
        return simplest(self.standing).model

    @property
    def far_landmark(self) -> int:
        """Clocks from reset to the farthest rollover that was not reached; 0: there is none."""
        return 0 if self.counter is None else max(self.counter.unreached_landmarks(), default=0)

    def begin(
        self,
        candidates: Sequence[Candidate],
        latencies: range,
        stimulus: Stimulus,
        observed: ObservedTrace,
    ) -> list[Trial]:
        """Let all readings of these candidates stand, and try them."""
        carries = self._check.reset is None and not isinstance(candidates[0].model, CombinationalModel)
        self._readings = ReadingSet(readings(self._check, candidates, latencies), carries_state=carries)
        return self._readings.try_all(stimulus, observed)

    def accept(self, stage: Stage, fitting: Sequence[Trial], observed: ObservedTrace) -> None:
        """Let only those readings stand that fit a stage."""
        self._readings.keep([t.reading for t in fitting])
        self.memory.add(stage.stimulus, observed)
        chosen = simplest(self.standing)
        if self.counter is None:
            self.counter = CoverageCounter(chosen.model)
        self.counter.follow(chosen.model)
        expected = next(t.expected for t in fitting if t.reading is chosen)
        self.counter.add_window(stage.stimulus, expected)
        self._finish(stage)

    def _finish(self, stage: Stage) -> None:
        """All of a stage has been compared."""
        self.played.append(stage.stimulus)
        self.driven.add(stage)
        if self.counter is not None:
            self.counter.add_stimulus(stage.stimulus)
        self.exhaustive |= stage.exhaustive
        self._listener.clocks(self._check.name, self._session.clocks, None)

    def add(self, stage: Stage) -> None:
        """Hold a stage against the standing readings, and drop those that differ."""
        if stage.stimulus.length > STREAMED_CYCLES:
            self.add_sparing_twins(stage)
        else:
            self._compare_all(stage)

    def add_sparing_twins(self, stage: Stage) -> None:
        """The same with one reading for all its twins, which come in should it fail where they do not."""
        everybody = self.standing
        spared = [] if self._readings.carries_state else twins(simplest(everybody), everybody)
        others = [r for r in everybody if r not in spared]
        self._readings.keep(others)
        try:
            self._compare_all(stage)
        except Failing as failing:
            self._readings.keep(spared)
            if not spared or not self._may_hold(failing) or not all(map(self._hold, [*self._owed, stage])):
                self._readings.keep(others)
                raise
        else:
            self._owed.append(stage)
            self._readings.keep([r for r in everybody if r in spared or r in self.standing])

    def _may_hold(self, failing: Failing) -> bool:
        """Whether one of the standing readings may hold where others failed, by what was seen there."""
        if failing.late:
            return True
        trials = self._readings.try_all(failing.stimulus, failing.observed)
        return any(t.difference.matches for t in trials)

    def _hold(self, stage: Stage) -> bool:
        """Whether any of the standing readings holds from power-up; only those still stand."""
        self._session.power_down()
        try:
            self._compare_all(stage)
        except Failing:
            return False
        return True

    def _compare_all(self, stage: Stage) -> None:
        if stage.stimulus.length > STREAMED_CYCLES:
            stream = self._readings.stream(stage.stimulus)
            if stream is not None:
                self._compare_windows(stage, stream)
                return
        model = self.model
        observed = self._session.observe(model, stage.stimulus)
        trials = self._readings.try_all(stage.stimulus, observed)
        fitting = [t for t in trials if t.difference.matches]
        if not fitting:
            raise Failing(trials, stage.stimulus, observed)
        self.accept(stage, fitting, observed)

    def _compare_windows(self, stage: Stage, stream: Stream) -> None:
        """Compare while the simulator goes on; a difference ends both."""
        model, before = self.model, self._session.clocks
        for trace in self._session.windows(model, stage.stimulus):
            step = stream.add(trace)
            if not stream.alive:
                wholes = [stream.whole(trial) for trial in step.trials]
                late = stream.end > trace.length
                raise Failing([w[0] for w in wholes], *wholes[0][1:], late=late)
            if self.counter is not None:
                chosen = simplest(stream.alive)
                self.counter.follow(chosen.model)
                expected = next(t.expected for t in step.trials if t.reading is chosen)
                self.counter.add_window(step.stimulus, expected)
            self._listener.clocks(self._check.name, self._session.clocks, before + stage.stimulus.length)
        self._readings.streamed(stream)
        self._readings.keep(stream.alive)
        self.memory.add(stage.stimulus, None)
        self._finish(stage)
