"""The design as it is on the board: one second of the real clock, compared on every edge."""

from __future__ import annotations

from collections.abc import Sequence

from verify.bench import ResolvedCheck
from verify.checks.candidates import begins_halfway, candidates_of
from verify.checks.differing.evidence import failure_of
from verify.checks.readings import ReadingSet, best, readings
from verify.checks.session import Session
from verify.compare import Trial, cut_observed, cut_stimulus
from verify.errors import SimulationFault, ToolError
from verify.models.family import USUAL_LATENCIES_CYCLES, Candidate, OptionError
from verify.models.golden import GoldenModel, under_way
from verify.results import CheckResult
from verify.signals import ObservedTrace, Run, Stimulus
from verify.simulation import SimulatorKind
from verify.stimulus.vocabulary import Hand
from verify.timescale.laboratory import NativeRun

__all__ = ["native_changes", "native_clocks", "play_native_second"]

SAMPLED_CYCLES = 10_000
"""Clocks of the golden model that show how busy its outputs are."""

READ_ROWS = 20_000
"""Changes from which the facts of a busy output, such as a scanned digit's, are read."""

SPARE_CYCLES = 64
"""Clocks behind the second terminal count, for what follows it through a pipeline."""


def native_clocks(check: ResolvedCheck) -> int:
    """Clocks of the stimulus: a second of the board's clock, or the first two events if they take longer."""
    return _stimulus(_model(check), check).length


def native_changes(check: ResolvedCheck) -> int:
    """About how many rows the trace of :func:`native_clocks` will have, from how busy its opening is."""
    model = _model(check)
    hand = Hand(model, check.resets)
    rows = len(model.leap(under_way(model), hand.resting, SAMPLED_CYCLES).offsets)
    return rows * _stimulus(model, check).length // SAMPLED_CYCLES


def play_native_second(
    check: ResolvedCheck,
    scaled: ResolvedCheck,
    found: CheckResult,
    kind: SimulatorKind,
    *,
    explain_seconds: float | None = None,
) -> NativeRun:
    """Play ``check``, the module at its native parameter, against what the scaled run found out.

    ``scaled`` and ``found``: the check of the scaled run and its result. The latency, and every fact
    that was measured there, must hold here too; the first event comes later by as much as its
    golden model says. ``explain_seconds``: as for a check.
    """
    reset = check.reset is not None
    model = _model(check)
    stimulus = _stimulus(model, check)
    with Session(check, kind) as session:
        try:
            observed = session.observe(model, stimulus)
        except (SimulationFault, ToolError) as fault:
            return NativeRun(None, simulator=kind, text=fault.message, settled_by=fault.advice)
    try:
        candidates = candidates_of(check, _opening(stimulus, observed))
    except OptionError as error:
        return NativeRun(None, simulator=kind, text=str(error))
    kept = _as_scaled(check, candidates, scaled, found) if reset else candidates
    latencies = USUAL_LATENCIES_CYCLES if found.latency is None else (found.latency,)
    trials = _trials(check, kept, latencies, stimulus, observed)
    fitting = [t for t in trials if t.difference.matches]
    if fitting:
        if all(len(t.expected.cycles) < 2 for t in fitting):
            return NativeRun(None, simulator=kind, text="no output is asked to change in it")
        return NativeRun(True, stimulus.length, kind)
    others = _trials(check, candidates, USUAL_LATENCIES_CYCLES, stimulus, observed)
    trial = best(trials or others)
    failure = failure_of(check, trial, stimulus, observed)
    text = failure.text
    if instead := next((t for t in others if t.difference.matches), None):
        text += f"; it would be right with {_facts(instead)}, the scaled run has {_measured(found)}"
    from verify.checks.differing.explaining import explain_seen  # noqa: PLC0415 -- heavy, and only for failures

    told = explain_seen(check, stimulus, observed, trial, candidates, seconds=explain_seconds)
    return NativeRun(False, stimulus.length, kind, text, failure, explanations=told.explanations)


def _opening(stimulus: Stimulus, observed: ObservedTrace) -> tuple[Stimulus, ObservedTrace]:
    """As much of a busy observation as is needed to read facts off it; a quiet one whole."""
    if len(observed.cycles) <= READ_ROWS:
        return stimulus, observed
    last = int(observed.cycles[READ_ROWS]) - 1
    return cut_stimulus(stimulus, 0, last), cut_observed(observed, 0, last)


def _trials(
    check: ResolvedCheck,
    candidates: Sequence[Candidate],
    latencies: Sequence[int],
    stimulus: Stimulus,
    observed: ObservedTrace,
) -> list[Trial]:
    return ReadingSet(readings(check, candidates, latencies), carries_state=False).try_all(stimulus, observed)


def _model(check: ResolvedCheck) -> GoldenModel:
    """The most usual model: all of a family's take the same inputs."""
    return candidates_of(check)[0].model


def _stimulus(model: GoldenModel, check: ResolvedCheck) -> Stimulus:
    """Reset, or a clear where there is no reset, a load where there is one, then rest."""
    hand = Hand(model, check.resets)
    runs = hand.reset()
    clear = next((c for c in hand.controls if hand.signals[c].name == "clear"), None)
    if clear is not None and check.reset is None:
        runs.append(Run(1, hand.with_values({clear: 1 - hand.resting[clear]})))
    load = next((c for c in hand.controls if hand.signals[c].name == "load"), None)
    if load is not None:
        full = {i: hand.encode(i, hand.limit(i)) for i in hand.data}
        runs.append(Run(1, hand.with_values({load: 1 - hand.resting[load], **full})))
    runs += hand.go()
    landmarks = hand.guide.landmarks() if hand.guide is not None else ()
    event = landmarks[0] + 1 if landmarks else 0
    runs.append(hand.rest(max(check.frequency_hz or 0, 2 * event) + SPARE_CYCLES))
    return Stimulus.of(hand.signals, runs)


def _as_scaled(
    check: ResolvedCheck, candidates: Sequence[Candidate], scaled: ResolvedCheck, found: CheckResult
) -> tuple[Candidate, ...]:
    """The candidates that stand for what was measured at the scaled ratio.

    A family lists its candidates in one order at every ratio, so that the n-th there is the n-th here.
    """
    there = candidates_of(scaled)
    known = {fact.name: fact.value for fact in found.facts if fact.source == "measured"}
    if len(there) != len(candidates):  # facts that were read off an observation
        half = begins_halfway(scaled, known.pop("first", None))
        kept = [c for c in candidates if begins_halfway(check, c.measured.get("first")) is half]
        kept = [c for c in kept if all(c.measured.get(k, v) == v for k, v in known.items())]
        return tuple(kept) or tuple(candidates)
    pairs = zip(candidates, there, strict=True)
    kept = [here for here, other in pairs if all(known.get(k, v) == v for k, v in other.measured.items())]
    return tuple(kept) or tuple(candidates)


def _facts(trial: Trial) -> str:
    measured = {"latency": trial.reading.latency_cycles, **trial.reading.candidate.measured}
    return ", ".join(f"{name} {value}" for name, value in measured.items())


def _measured(found: CheckResult) -> str:
    return ", ".join(f"{f.name} {f.value}" for f in found.facts if f.source == "measured")
