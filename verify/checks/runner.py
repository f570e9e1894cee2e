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
from verify.checks.comparing import STREAMED_CYCLES, Comparison
from verify.checks.differing.confirm import Confirmed, confirm
from verify.checks.differing.evidence import failure_of
from verify.checks.differing.failing import Failing, all_unknown, findings
from verify.checks.differing.internals import with_internals
from verify.checks.driven import bindings_of
from verify.checks.passing.deciding import decide
from verify.checks.passing.facts import facts_of, simplest
from verify.checks.passing.pins import broken_pin, keeping_pins
from verify.checks.passing.reset_probe import reset_fact
from verify.checks.passing.second_opinion import asked_for, built_for, elsewhere, second_opinion
from verify.checks.readings import LATENCIES_CYCLES, best
from verify.checks.session import Session
from verify.checks.settings import Listener, Settings
from verify.compare import Trial, cut_stimulus
from verify.errors import SimulationFault
from verify.models.family import Candidate, OptionError
from verify.models.golden import GoldenModel, Guided
from verify.results import CheckResult, Coverage, Fact, Failure, Verdict
from verify.signals import ObservedTrace, Stimulus
from verify.stimulus import Stage, first_look, held_in_batches, plan, search

__all__ = ["DEFAULT_SEED", "CheckRun", "Outcome"]

DEFAULT_SEED = 1
"""Used when nobody asks for another, so that two runs of one bench agree."""

OPENING_CYCLES = 1_000
"""Clocks in which x and z are looked for before a long run goes to Verilator."""


MOST_CHANGES = 2_000_000
"""Changes of the outputs that are kept of a long first look: some hundred megabytes, all in all."""


class Outcome:
    """A result and, when it fails, the stimulus and the reading that show it."""

    def __init__(self, result: CheckResult, confirmed: Confirmed | None = None) -> None:
        self.result, self.confirmed = result, confirmed


LONGER, LONGEST_LOOK_CYCLES = 2, 6_000_000
"""A first look that has to be so many times longer, by what it showed, is taken again, up to this length."""


class CheckRun:
    """Runs one check; use once."""

    def __init__(
        self, check: ResolvedCheck, settings: Settings, listener: Listener, also: tuple[Stage, ...] = ()
    ) -> None:
        """``also``: stages to be played before those of the plan, over the inputs of the golden model."""
        self._check, self._settings, self._listener, self._also = check, settings, listener, also
        self._seed = DEFAULT_SEED if settings.seed is None else settings.seed
        self._budget = budget_for(settings)
        self._began = time.monotonic()
        self._session = Session(check, settings.simulator)
        self._session.limits = settings.limits
        self._candidates: tuple[Candidate, ...] = ()
        self._directed: list[Stimulus] = []
        self._shortened = False
        self._long_look_cycles = 0

    def run(self) -> Outcome:
        """Look, compare, search; every way to end is an outcome."""
        self._listener.check_started(self._check.name, None)
        self._compared = Comparison(self._check, self._session, self._listener)
        with self._session:
            try:
                self._stage("building")
                self._look()
                with built_for(self._check) if self._wants_both() else nullcontext():
                    self._follow_plan()
                    self._directed = list(self._compared.played)
                    self._search()
                    return Outcome(self._reconsidered(self._decided()))
            except Failing as failing:
                self._compared.driven.add(Stage("the one that differs", failing.stimulus))
                self._stage("shrinking")
                return self._failed(failing)
            except SimulationFault as fault:
                return Outcome(self._faulted(fault))

    # --- looking -----------------------------------------------------------------------------

    def _look(self) -> None:
        """Play the first look and find out which readings it leaves."""
        check = self._check
        first = candidates_of(check)
        look = first_look(first[0].model, resets=check.resets, seed=self._seed)
        if look.stimulus.length > LONG_LOOK_CYCLES:
            self._take_to_verilator(first, look.stimulus)
        look, observed = self._looked(first[0].model, look)
        self._stage("measuring latency")
        self._candidates = self._read_off(look.stimulus, observed) or first
        longer = first_look(self._candidates[0].model, resets=check.resets, seed=self._seed)
        taken = max(look.stimulus.length, self._long_look_cycles)
        if LONGER * taken < longer.stimulus.length <= LONGEST_LOOK_CYCLES:
            look = longer
            if check.reset is None:  # it begins from power-up, or its scan is found in the wrong place
                self._session.power_down()
            observed = self._session.observe(first[0].model, look.stimulus)
            self._candidates = self._read_off(look.stimulus, observed) or first
        if all_unknown(observed):
            trials = self._compared.begin(self._candidates, range(1), look.stimulus, observed)
            raise Failing(trials, look.stimulus, observed)
        tried: list[Trial] = []
        for latencies in LATENCIES_CYCLES:
            trials = self._compared.begin(self._candidates, latencies, look.stimulus, observed)
            if not trials:
                continue
            tried += trials
            # a latency so long that most cycles are excused fits anything
            enough = max(t.difference.compared_cycles for t in tried) // 2
            fitting = [t for t in trials if t.difference.matches and t.difference.compared_cycles >= enough]
            if fitting:
                self._refuse_cut(look)
                self._compared.accept(look, fitting, observed)
                return
            if check.latency is not None:
                break
        raise Failing(tried, look.stimulus, observed)

    def _looked(self, model: GoldenModel, look: Stage) -> tuple[Stage, ObservedTrace]:
        """The look and what it shows; of a long one no more than can be kept."""
        if look.stimulus.length <= LONG_LOOK_CYCLES:
            return look, self._session.observe(model, look.stimulus)
        self._long_look_cycles = look.stimulus.length
        seen, observed = self._session.observe_beginning(model, look.stimulus, MOST_CHANGES)
        return replace(look, stimulus=seen), observed

    def _refuse_cut(self, look: Stage) -> None:
        """A look that was cut short can show a fault, but nothing can be built on it."""
        if look.stimulus.length < self._long_look_cycles:
            raise SimulationFault(
                "limit",
                f"the outputs change more than {MOST_CHANGES:,} times in the first "
                f"{look.stimulus.length:,} clocks of {self._long_look_cycles:,}: too many to be kept",
                advice="let a parameter of the design carry the clock frequency, and name it in [clock]",
            )

    def _read_off(self, stimulus: Stimulus, observed: ObservedTrace) -> tuple[Candidate, ...]:
        """The candidates with the facts that show in a first look; () where what it shows cannot be."""
        try:
            return candidates_of(self._check, (stimulus, observed))
        except OptionError:
            return ()

    def _take_to_verilator(self, first: Sequence[Candidate], look: Stimulus) -> None:
        """Look for x and z at the beginning; then play what would take Icarus minutes on Verilator."""
        if not asked_for(self._settings):
            return
        opening = cut_stimulus(look, 0, OPENING_CYCLES - 1)
        observed = self._session.observe(first[0].model, opening)
        if observed.unknown is not None and any(c is not None and c[-1] for c in observed.unknown):
            self._candidates = tuple(first)
            trials = self._compared.begin(first, LATENCIES_CYCLES[0], opening, observed)
            if not any(t.difference.matches for t in trials):
                raise Failing(trials, opening, observed)
        self._go_on_with_verilator()

    def _go_on_with_verilator(self) -> None:
        if self._session.go_on_with_verilator():
            self._budget = budget_on_verilator(self._settings)

    # --- comparing ---------------------------------------------------------------------------

    def _follow_plan(self) -> None:
        model, far = self._compared.model, self._compared.far_landmark
        if self._budget.trip_cycles < far < budget_on_verilator(self._settings).trip_cycles:
            self._go_on_with_verilator()
        planned = plan(model, resets=self._check.resets, seed=self._seed, budget=self._budget)
        for stage in itertools.chain(self._also, planned):
            if self._out_of_time():
                return
            self._stage(stage.name)
            self._listener.clocks(
                self._check.name, self._session.clocks, self._session.clocks + stage.stimulus.length
            )
            self._compared.add(stage)

    def _search(self) -> None:
        """Let Hypothesis look for what the plan missed."""
        if self._budget.examples == 0 or self._out_of_time():
            return
        self._stage("searching")
        model = self._compared.model
        if not model.inputs and self._check.reset is None:
            return
        last: list[Failing] = []

        def holds(stimulus: Stimulus) -> bool:
            if self._out_of_time():
                return True
            try:
                self._compared.add_sparing_twins(Stage("generated", stimulus))
            except Failing as failing:
                last.append(failing)
                return False
            return True

        resets, seed, budget = self._check.resets, self._seed, self._budget
        held = held_in_batches(model, resets=resets, seed=seed, budget=budget, holds=holds)
        if held is None:
            return
        number = itertools.count()

        def again(stimulus: Stimulus) -> bool:
            return next(number) < held or holds(stimulus)

        try:
            found = search(model, resets=resets, seed=seed, budget=budget, holds=again)
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
        standing = self._compared.standing
        if (broken := broken_pin(self._check, standing)) is not None:
            facts = facts_of(self._check, simplest(standing), standing)
            return self._result(Verdict.FAIL, broken.text, failure=broken, facts=facts)
        standing = keeping_pins(self._check.facts, standing)
        reading = simplest(standing)
        facts = facts_of(self._check, reading, standing)
        counter, trip_cycles = self._compared.counter, self._budget.trip_cycles
        decision = decide(standing, counter, trip_cycles=trip_cycles, cut=self._shortened)
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
        model = self._compared.model
        long = isinstance(model, Guided) and model.full_cycle > STREAMED_CYCLES and self._check.speedup == 1
        here = asked_for(self._settings) and self._session.kind == "icarus"
        return here and (self._settings.thorough or long)

    def _reconsidered(self, result: CheckResult) -> CheckResult:
        """What passes on Icarus has to pass on Verilator, where that is asked."""
        if result.verdict is not Verdict.PASS or not self._wants_both():
            return result
        self._stage("asking Verilator")
        stimuli = self._compared.played if self._settings.thorough else self._directed
        found = second_opinion(self._check, self._compared.standing, stimuli)
        if isinstance(found, Failure):
            return replace(result, verdict=Verdict.FAIL, reason=found.text, failure=found)
        notes = result.notes if found is None else (*result.notes, found)
        return replace(result, notes=notes, seconds=time.monotonic() - self._began)

    def _pass_reason(self) -> str:
        every = "every input value, " if self._compared.exhaustive else ""
        return f"{every}{self._session.clocks:,} clocks compared, no difference"

    def _failed(self, failing: Failing) -> Outcome:
        check = self._check
        trial = best(failing.trials)
        kind, also = findings(check, self._candidates, failing)
        confirmed = confirm(
            self._session, trial.reading, failing.stimulus, self._compared.played, trial.difference.first or 0
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
        failure = with_internals(check, confirmed, failure, self._settings)
        reading = confirmed.trial.reading
        from verify.checks.differing.explaining import explain  # noqa: PLC0415 -- heavy, and only for failures

        self._stage("explaining")
        seen = None if failing.late else (failing.stimulus, failing.observed, trial)
        patience = self._settings.explain_seconds
        memory = self._compared.memory
        told = explain(self._session, memory, seen, confirmed, self._candidates, seconds=patience)
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
        check, counter = self._check, self._compared.counter
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
            coverage=Coverage() if counter is None else counter.report(),
            unchecked_outputs=check.unchecked_outputs,
            tied_inputs=check.tied,
            driven=self._compared.driven.report(),
            bindings=bindings_of(check),
            facts=facts,
            **more,  # type: ignore[arg-type]
        )
