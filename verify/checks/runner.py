"""One check from first look to verdict."""

from __future__ import annotations

import itertools
import time
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace

import hypothesis.errors

from verify.bench import ResolvedCheck
from verify.checks.budgeting import LONG_LOOK_CYCLES, budget_for, budget_on_verilator
from verify.checks.candidates import candidates_of, halfway_note
from verify.checks.confirm import Confirmed, confirm
from verify.checks.deciding import decide
from verify.checks.driven import DrivenCounter, bindings_of
from verify.checks.evidence import failure_of
from verify.checks.facts import facts_of, simplest, twins
from verify.checks.failing import Failing, all_unknown, findings
from verify.checks.memory import Memory
from verify.checks.pins import broken_pin, keeping_pins
from verify.checks.readings import LATENCIES_CYCLES, ReadingSet, best, readings
from verify.checks.reset_probe import reset_fact
from verify.checks.second_opinion import asked_for, built_for, elsewhere, second_opinion
from verify.checks.session import Session
from verify.checks.settings import Listener, Settings
from verify.compare import CoverageCounter, Stream, Trial, cut_stimulus
from verify.errors import SimulationFault
from verify.models.family import Candidate, OptionError
from verify.models.golden import CombinationalModel, Guided
from verify.results import CheckResult, Coverage, Fact, Failure, Verdict
from verify.signals import ObservedTrace, Stimulus
from verify.stimulus import Stage, first_look, held_in_batches, plan, search

__all__ = ["DEFAULT_SEED", "CheckRun", "Outcome"]

DEFAULT_SEED = 1
"""Used when nobody asks for another, so that two runs of one bench agree."""

OPENING_CYCLES = 1_000
"""Clocks in which x and z are looked for before a long run goes to Verilator."""

STREAMED_CYCLES = 200_000
"""Longer stimuli are compared window by window."""


class Outcome:
    """A result and, when it fails, the stimulus and the reading that show it."""

    def __init__(self, result: CheckResult, confirmed: Confirmed | None = None) -> None:
        self.result, self.confirmed = result, confirmed


class CheckRun:
    """Runs one check; use once."""

    def __init__(self, check: ResolvedCheck, settings: Settings, listener: Listener) -> None:
        self._check, self._settings, self._listener = check, settings, listener
        self._seed = DEFAULT_SEED if settings.seed is None else settings.seed
        self._budget = budget_for(settings)
        self._began = time.monotonic()
        self._session = Session(check, settings.simulator)
        self._session.limits = settings.limits
        self._standing = ReadingSet([], carries_state=False)
        self._candidates: tuple[Candidate, ...] = ()
        self._counter: CoverageCounter | None = None
        self._history: list[Stimulus] = []
        self._directed: list[Stimulus] = []
        self._owed: list[Stage] = []
        """What the twins of the leading reading were not held against."""
        self._memory = Memory()
        self._exhaustive = False
        self._shortened = False
        self._driven = DrivenCounter()

    def run(self) -> Outcome:
        """Look, compare, search; every way to end is an outcome."""
        self._listener.check_started(self._check.name, None)
        with self._session:
            try:
                self._stage("building")
                self._look()
                with built_for(self._check) if self._wants_both() else nullcontext():
                    self._follow_plan()
                    self._directed = list(self._history)
                    self._search()
                    return Outcome(self._reconsidered(self._decided()))
            except Failing as failing:
                self._driven.add(Stage("the one that differs", failing.stimulus))
                self._stage("shrinking")
                return self._failed(failing)
            except SimulationFault as fault:
                return Outcome(self._faulted(fault))

    # --- looking -----------------------------------------------------------------------------

    def _look(self) -> None:
        """Play the first look and find out which readings it leaves."""
        check = self._check
        reset = check.reset is not None
        first = candidates_of(check)
        look = first_look(first[0].model, reset=reset, seed=self._seed)
        if look.stimulus.length > LONG_LOOK_CYCLES:
            self._take_to_verilator(first, look.stimulus)
        observed = self._session.observe(first[0].model, look.stimulus)
        self._stage("measuring latency")
        try:
            self._candidates = candidates_of(check, (look.stimulus, observed))
        except OptionError:
            self._candidates = first
        if all_unknown(observed):
            raise Failing(self._trials(range(1), look.stimulus, observed), look.stimulus, observed)
        tried: list[Trial] = []
        for latencies in LATENCIES_CYCLES:
            trials = self._trials(latencies, look.stimulus, observed)
            if not trials:
                continue
            tried += trials
            # a latency so long that most cycles are excused fits anything
            enough = max(t.difference.compared_cycles for t in tried) // 2
            fitting = [t for t in trials if t.difference.matches and t.difference.compared_cycles >= enough]
            if fitting:
                self._accept(look, fitting, observed)
                return
            if check.latency is not None:
                break
        raise Failing(tried, look.stimulus, observed)

    def _take_to_verilator(self, first: Sequence[Candidate], look: Stimulus) -> None:
        """Look for x and z at the beginning; then play what would take Icarus minutes on Verilator."""
        if not asked_for(self._settings):
            return
        opening = cut_stimulus(look, 0, OPENING_CYCLES - 1)
        observed = self._session.observe(first[0].model, opening)
        if observed.unknown is not None and any(c is not None and c[-1] for c in observed.unknown):
            self._candidates = tuple(first)
            trials = self._trials(LATENCIES_CYCLES[0], opening, observed)
            if not any(t.difference.matches for t in trials):
                raise Failing(trials, opening, observed)
        self._go_on_with_verilator()

    def _go_on_with_verilator(self) -> None:
        if self._session.go_on_with_verilator():
            self._budget = budget_on_verilator(self._settings)

    def _trials(self, latencies: range, stimulus: Stimulus, observed: ObservedTrace) -> list[Trial]:
        carries = self._check.reset is None and not isinstance(self._candidates[0].model, CombinationalModel)
        self._standing = ReadingSet(readings(self._check, self._candidates, latencies), carries_state=carries)
        return self._standing.try_all(stimulus, observed)

    def _accept(self, stage: Stage, fitting: Sequence[Trial], observed: ObservedTrace) -> None:
        self._standing.keep([t.reading for t in fitting])
        self._memory.add(stage.stimulus, observed)
        chosen = simplest(self._standing.standing)
        if self._counter is None:
            self._counter = CoverageCounter(chosen.model)
        self._counter.follow(chosen.model)
        expected = next(t.expected for t in fitting if t.reading is chosen)
        self._counter.add_window(stage.stimulus, expected)
        self._finish(stage)

    def _finish(self, stage: Stage) -> None:
        """All of a stage has been compared."""
        self._history.append(stage.stimulus)
        self._driven.add(stage)
        if self._counter is not None:
            self._counter.add_stimulus(stage.stimulus)
        self._exhaustive |= stage.exhaustive
        self._listener.clocks(self._check.name, self._session.clocks, None)

    # --- comparing ---------------------------------------------------------------------------

    def _follow_plan(self) -> None:
        model = simplest(self._standing.standing).model
        reset = self._check.reset is not None
        far = max(self._counter.unreached_landmarks(), default=0) if self._counter is not None else 0
        if self._budget.trip_cycles < far < budget_on_verilator(self._settings).trip_cycles:
            self._go_on_with_verilator()
        for stage in plan(model, reset=reset, seed=self._seed, budget=self._budget):
            if self._out_of_time():
                return
            self._stage(stage.name)
            self._listener.clocks(
                self._check.name, self._session.clocks, self._session.clocks + stage.stimulus.length
            )
            self._compare(stage)

    def _compare(self, stage: Stage) -> None:
        """Hold a stage against the standing readings, and drop those that differ."""
        if stage.stimulus.length > STREAMED_CYCLES:
            self._with_twins_spared(stage)
        else:
            self._compare_all(stage)

    def _with_twins_spared(self, stage: Stage) -> None:
        """The same with one reading for all its twins, which come in should it fail where they do not."""
        everybody = self._standing.standing
        spared = [] if self._standing.carries_state else twins(simplest(everybody), everybody)
        others = [r for r in everybody if r not in spared]
        self._standing.keep(others)
        try:
            self._compare_all(stage)
        except Failing as failing:
            self._standing.keep(spared)
            if not spared or not self._may_hold(failing) or not all(map(self._hold, [*self._owed, stage])):
                self._standing.keep(others)
                raise
        else:
            self._owed.append(stage)
            self._standing.keep([r for r in everybody if r in spared or r in self._standing.standing])

    def _may_hold(self, failing: Failing) -> bool:
        """Whether one of the standing readings may hold where others failed, by what was seen there."""
        if failing.late:
            return True
        trials = self._standing.try_all(failing.stimulus, failing.observed)
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
            stream = self._standing.stream(stage.stimulus)
            if stream is not None:
                self._compare_windows(stage, stream)
                return
        model = simplest(self._standing.standing).model
        observed = self._session.observe(model, stage.stimulus)
        trials = self._standing.try_all(stage.stimulus, observed)
        fitting = [t for t in trials if t.difference.matches]
        if not fitting:
            raise Failing(trials, stage.stimulus, observed)
        self._accept(stage, fitting, observed)

    def _compare_windows(self, stage: Stage, stream: Stream) -> None:
        """Compare while the simulator goes on; a difference ends both."""
        model, before = simplest(self._standing.standing).model, self._session.clocks
        for trace in self._session.windows(model, stage.stimulus):
            step = stream.add(trace)
            if not stream.alive:
                wholes = [stream.whole(trial) for trial in step.trials]
                late = stream.end > trace.length
                raise Failing([w[0] for w in wholes], *wholes[0][1:], late=late)
            if self._counter is not None:
                chosen = simplest(stream.alive)
                self._counter.follow(chosen.model)
                expected = next(t.expected for t in step.trials if t.reading is chosen)
                self._counter.add_window(step.stimulus, expected)
            self._listener.clocks(self._check.name, self._session.clocks, before + stage.stimulus.length)
        self._standing.streamed(stream)
        self._standing.keep(stream.alive)
        self._memory.add(stage.stimulus, None)
        self._finish(stage)

    def _search(self) -> None:
        """Let Hypothesis look for what the plan missed."""
        if self._budget.examples == 0 or self._out_of_time():
            return
        self._stage("searching")
        reading = simplest(self._standing.standing)
        if not reading.model.inputs and self._check.reset is None:
            return
        last: list[Failing] = []

        def holds(stimulus: Stimulus) -> bool:
            if self._out_of_time():
                return True
            try:
                self._with_twins_spared(Stage("generated", stimulus))
            except Failing as failing:
                last.append(failing)
                return False
            return True

        reset, seed, budget = self._check.reset is not None, self._seed, self._budget
        held = held_in_batches(reading.model, reset=reset, seed=seed, budget=budget, holds=holds)
        if held is None:
            return
        number = itertools.count()

        def again(stimulus: Stimulus) -> bool:
            return next(number) < held or holds(stimulus)

        try:
            found = search(reading.model, reset=reset, seed=seed, budget=budget, holds=again)
        except hypothesis.errors.Flaky:
            raise last[0] from None
        raise last[0 if found.failing is None else -1]

    def _out_of_time(self) -> bool:
        limit = self._settings.seconds_limit
        self._shortened |= limit is not None and time.monotonic() - self._began > limit
        return self._shortened

    def _stage(self, text: str) -> None:
        self._listener.stage(self._check.name, text)

    # --- deciding ----------------------------------------------------------------------------

    def _decided(self) -> CheckResult:
        """All stimuli match: a pass, if they could have failed."""
        standing = self._standing.standing
        if (broken := broken_pin(self._check, standing)) is not None:
            facts = facts_of(self._check, simplest(standing), standing)
            return self._result(Verdict.FAIL, broken.text, failure=broken, facts=facts)
        standing = keeping_pins(self._check.facts, standing)
        reading = simplest(standing)
        facts = facts_of(self._check, reading, standing)
        decision = decide(standing, self._counter, trip_cycles=self._budget.trip_cycles, cut=self._shortened)
        in_reset = reset_fact(self._check, self._session, reading)
        if isinstance(in_reset, Failure):
            return self._result(Verdict.FAIL, in_reset.text, failure=in_reset, facts=facts)
        return self._result(
            decision.verdict,
            decision.reason or self._pass_reason(),
            latency=reading.latency_cycles,
            facts=facts if in_reset is None else (*facts, in_reset),
            settled_by=decision.settled_by,
        )

    def _wants_both(self) -> bool:
        """Whether to ask the other simulator, too: for a long run, or when all that tells more is wanted.

        Of a design that is sped up the native second runs there anyway.
        """
        model = simplest(self._standing.standing).model
        long = isinstance(model, Guided) and model.full_cycle > STREAMED_CYCLES and self._check.speedup == 1
        here = asked_for(self._settings) and self._session.kind == "icarus"
        return here and (self._settings.thorough or long)

    def _reconsidered(self, result: CheckResult) -> CheckResult:
        """What passes on Icarus has to pass on Verilator, where that is asked."""
        if result.verdict is not Verdict.PASS or not self._wants_both():
            return result
        self._stage("asking Verilator")
        stimuli = self._history if self._settings.thorough else self._directed
        found = second_opinion(self._check, self._standing.standing, stimuli)
        if isinstance(found, Failure):
            return replace(result, verdict=Verdict.FAIL, reason=found.text, failure=found)
        notes = result.notes if found is None else (*result.notes, found)
        return replace(result, notes=notes, seconds=time.monotonic() - self._began)

    def _pass_reason(self) -> str:
        every = "every input value, " if self._exhaustive else ""
        return f"{every}{self._session.clocks:,} clocks compared, no difference"

    def _failed(self, failing: Failing) -> Outcome:
        check = self._check
        trial = best(failing.trials)
        kind, also = findings(check, self._candidates, failing)
        confirmed = confirm(
            self._session, trial.reading, failing.stimulus, self._history, trial.difference.first or 0
        )
        notes: tuple[str, ...] = ()
        if confirmed is None:
            confirmed = Confirmed(failing.stimulus, failing.observed, trial, repeats=False)
            notes = ("the difference was seen once and does not repeat from power-up",)
        failure = failure_of(check, confirmed.trial, confirmed.stimulus, confirmed.observed)
        if kind is not None:
            failure = replace(failure, kind=kind, text=also[0], also=(failure.text, *failure.also))
        else:
            failure = replace(failure, also=(*also, *failure.also))
        reading = confirmed.trial.reading
        from verify.checks.explaining import explain  # noqa: PLC0415 -- heavy, and only for failures

        self._stage("explaining")
        seen = None if failing.late else (failing.stimulus, failing.observed, trial)
        patience = self._settings.explain_seconds
        told = explain(self._session, self._memory, seen, confirmed, self._candidates, seconds=patience)
        unexplained = not any(e.reproduces_all_cycles for e in told.explanations)
        both = asked_for(self._settings) and self._session.kind == "icarus"
        wanted = self._settings.thorough or (unexplained and patience != 0)
        if both and failure.kind == "mismatch" and wanted:
            self._stage("asking Verilator")
            failure = elsewhere(check, reading, confirmed.stimulus, failure)
        return Outcome(
            self._result(
                Verdict.FAIL,
                failure.text,
                latency=reading.latency_cycles,
                facts=facts_of(check, reading, [reading]),
                failure=failure,
                explanations=told.explanations,
                notes=(*notes, *told.notes),
            ),
            confirmed,
        )

    def _faulted(self, fault: SimulationFault) -> CheckResult:
        verdict = Verdict.FAIL if fault.fault == "early_end" else Verdict.UNDECIDED
        settled = () if fault.advice is None else (fault.advice,)
        return self._result(
            verdict, fault.message, failure=Failure(fault.fault, fault.message), settled_by=settled
        )

    def _result(
        self, verdict: Verdict, reason: str, *, facts: tuple[Fact, ...] = (), **more: object
    ) -> CheckResult:
        check = self._check
        more["notes"] = (
            *self._session.notes,
            *halfway_note(check, facts),
            *more.get("notes", ()),
        )  # type: ignore[misc]
        return CheckResult(
            check.name,
            check.family.name,
            check.module.name,
            verdict,
            reason,
            cycles=self._session.clocks,
            seconds=time.monotonic() - self._began,
            simulator=self._session.kind,
            seed=self._seed,
            coverage=Coverage() if self._counter is None else self._counter.report(),
            unchecked_outputs=check.unchecked_outputs,
            tied_inputs=check.tied,
            driven=self._driven.report(),
            bindings=bindings_of(check),
            facts=facts,
            **more,  # type: ignore[arg-type]
        )
