"""The design of one check in a simulator, in the terms of its golden model."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from types import TracebackType
from typing import Any

from hypothesis import strategies as st

from verify.bench import ResolvedCheck
from verify.checks.candidates import candidates_of
from verify.checks.differing.evidence import failure_of
from verify.checks.passing.facts import facts_of, simplest
from verify.checks.reading_off import read_off
from verify.checks.readings import ReadingSet, best
from verify.checks.runner import DEFAULT_SEED
from verify.checks.session import FLUSH_CYCLES, Session
from verify.checks.settings import Settings
from verify.compare import Reading, Trial, cut_expected, cut_observed, delayed, expected_for
from verify.models.golden import CombinationalModel, GoldenModel
from verify.properties.played import Played, bits_of
from verify.properties.steps import OPENING_CYCLES, Steps, run_of, sequence_of
from verify.report.telling import check_text
from verify.results import CheckResult, Verdict
from verify.signals import ExpectedTrace, ObservedTrace, Reset, Run, Stimulus, width_mask
from verify.stimulus.budget import Budget
from verify.stimulus.generated import sentences
from verify.stimulus.vocabulary import Hand

__all__ = ["DesignSimulation"]


class DesignSimulation:
    """A design to be played with; a context manager, opened by :func:`verify.simulate`.

    Every play starts from reset, so that one does not depend on those before it; a design that has
    registers and no reset is powered up anew instead, which takes a few tenths of a second.
    """

    def __init__(self, check: ResolvedCheck, settings: Settings) -> None:
        self._check, self._settings = check, settings
        self._session = Session(check, "verilator" if settings.simulator == "verilator" else "icarus")
        self._first = candidates_of(check)[0].model

    # --- facts -------------------------------------------------------------------------------

    @property
    def name(self) -> str:
        """Of the check."""
        return self._check.name

    @property
    def options(self) -> Mapping[str, Any]:
        """Of the golden model, evaluated, as this simulation has them: ``ratio`` at its speed-up."""
        return self._check.options

    @property
    def speedup(self) -> int:
        """By which the clock parameter is scaled down."""
        return self._check.speedup

    @property
    def latency(self) -> int:
        """Clock cycles from golden to observed output: pinned in the bench, or measured."""
        return self.reading.latency_cycles

    @property
    def model(self) -> GoldenModel:
        """The golden model, with everything that the bench leaves open read off the design."""
        return self.reading.model

    @property
    def reading(self) -> Reading:
        """The answer to everything that the bench leaves open; of a wrong design, the nearest one."""
        return simplest(self._readings.standing)

    @cached_property
    def _readings(self) -> ReadingSet:
        """What has been played so far may leave more than one answer."""
        return ReadingSet(read_off(self._check, self._settings), carries_state=False)

    # --- what is done ------------------------------------------------------------------------

    def hold(self, cycles: int = 1, **values: Any) -> Run:
        """Inputs by role, active high, for ``cycles`` clock cycles; those not named rest.

        Raises ValueError for what is no input, and for a value that does not fit.
        """
        return run_of(self._first, cycles, values)

    def reset(self, cycles: int = 1, **values: Any) -> Run:
        """The same with the reset held. Raises ValueError when the design has none."""
        if self._check.reset is None:
            raise ValueError(f"the design of {self.name!r} has no reset")
        return run_of(self._first, cycles, values, Reset.HELD)

    def stimuli(self) -> st.SearchStrategy[Stimulus]:
        """A Hypothesis strategy: stimuli of up to twenty steps, resets among them."""
        return sentences(Hand(self._first, self._check.resets), Budget())

    def values(self, role: str) -> st.SearchStrategy[int]:
        """A Hypothesis strategy: values that input ``role`` can take within the promise of the model."""
        hand = Hand(self._first, self._check.resets)
        names = [signal.name for signal in self._first.inputs]
        if role not in names:
            known = ", ".join(names) or "none"
            raise ValueError(f"no input has the role {role!r}; the inputs of this check are: {known}")
        index = names.index(role)
        return st.integers(0, hand.limit(index)).map(lambda number: hand.encode(index, number))

    # --- what happens ------------------------------------------------------------------------

    def play(self, steps: Steps = (), /, **sequences: Iterable[Any]) -> Played:
        """Play steps, or one value per cycle for each input named, and say what the outputs did.

        Ahead of steps the reset is held for two cycles, which are not part of the trace; a
        :class:`~verify.signals.Stimulus` is played as it is. Raises
        :class:`verify.errors.SimulationFault` when the simulation does not come to its end.
        """
        stimulus, skipped = self._stimulus(steps, sequences)
        trace = cut_observed(self._observe(stimulus), skipped, stimulus.length - 1)
        hidden = trace.unknown or (None,) * len(trace.signals)
        values = tuple(bits_of(v, h) for v, h in zip(trace.values, hidden, strict=True))
        return Played(trace.signals, trace.length, trace.cycles, values)

    def expected(self, steps: Steps = (), /, **sequences: Iterable[Any]) -> Played:
        """What the golden model promises for the same, at the latency of the design."""
        stimulus, skipped = self._stimulus(steps, sequences)
        golden, _ = expected_for(self.reading, stimulus, self._observe(stimulus))
        trace = cut_expected(delayed(golden, self.reading.delays_cycles), skipped, stimulus.length - 1)
        return _promised(trace)

    def assert_matches(self, steps: Steps = (), /, **sequences: Iterable[Any]) -> None:
        """Raise AssertionError, with the whole report, unless every output is as the model promises.

        Cycles in which a pipeline fills after reset are left out, as in a check.
        """
        __tracebackhide__ = True  # pytest then shows the user's line
        stimulus, skipped = self._stimulus(steps, sequences)
        observed = self._observe(stimulus)
        trials = self._readings.try_all(stimulus, observed)
        fitting = [trial.reading for trial in trials if trial.difference.matches]
        if fitting:
            self._readings.keep(fitting)
            return
        raise AssertionError(check_text(self._failed(best(trials), stimulus, observed, skipped)))

    def start(self) -> None:
        """Build, start and look now, rather than at the first play, which then is as quick as any other."""
        self.play([self.hold()])
        self._readings  # noqa: B018 -- read off once, and kept

    def close(self) -> None:
        """End the simulator; safe to call twice. The next play starts it again."""
        self._session.power_down()

    def __repr__(self) -> str:
        return f"<design of {self.name!r}>"

    def __enter__(self) -> DesignSimulation:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # --- inside ------------------------------------------------------------------------------

    def _failed(self, trial: Trial, stimulus: Stimulus, observed: ObservedTrace, skipped: int) -> CheckResult:
        failure, reading = failure_of(self._check, trial, stimulus, observed), trial.reading
        return CheckResult(
            self._check.name,
            self._check.family.name,
            self._check.module.name,
            Verdict.FAIL,
            failure.text,
            simulator=self._session.kind,
            seed=DEFAULT_SEED if self._settings.seed is None else self._settings.seed,
            latency=reading.latency_cycles,
            facts=facts_of(self._check, reading, [reading]),
            failure=failure,
            notes=(f"cycle {skipped} here is cycle 0 of the steps",) if skipped else (),
        )

    def _observe(self, stimulus: Stimulus) -> ObservedTrace:
        if self._check.reset is None and not isinstance(self._first, CombinationalModel):
            self._session.power_down()
        return self._session.observe(self._first, stimulus)

    def _stimulus(self, steps: Steps, sequences: Mapping[str, Iterable[Any]]) -> tuple[Stimulus, int]:
        """The stimulus, and how many of its cycles come before what was asked for."""
        if isinstance(steps, Stimulus):
            if sequences:
                raise ValueError("expected a stimulus or values by role, found both")
            if steps.signals != self._first.inputs:
                raise ValueError(f"the stimulus is not over the inputs of {self.name!r}")
            return steps, 0
        runs = list(steps)
        if bool(runs) == bool(sequences):
            raise ValueError("expected steps, such as hold(3), or values by role, such as binary=range(9)")
        opening = self._opening()
        runs = runs or sequence_of(self._first, sequences)
        return Stimulus.of(self._first.inputs, [*opening, *runs]), sum(run.cycles for run in opening)

    def _opening(self) -> list[Run]:
        if self._check.reset is not None:
            return [run_of(self._first, OPENING_CYCLES, {}, Reset.HELD)]
        # Registers behind a table still hold what the play before left there.
        return [run_of(self._first, FLUSH_CYCLES, {})] if isinstance(self._first, CombinationalModel) else []


def _promised(trace: ExpectedTrace) -> Played:
    cares = trace.cares or (None,) * len(trace.signals)
    hidden = [
        None if care is None else care ^ width_mask(signal.width)
        for care, signal in zip(cares, trace.signals, strict=True)
    ]
    values = tuple(bits_of(v, h) for v, h in zip(trace.values, hidden, strict=True))
    return Played(trace.signals, trace.length, trace.cycles, values)
