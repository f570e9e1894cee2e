"""Play one kept stimulus again."""

from __future__ import annotations

import time
from pathlib import Path

from verify.bench import ResolvedCheck
from verify.checks.candidates import candidates_of
from verify.checks.differing.confirm import Confirmed
from verify.checks.differing.evidence import failure_of
from verify.checks.differing.internals import with_internals
from verify.checks.differing.memory import Memory
from verify.checks.differing.replays import Replay
from verify.checks.driven import bindings_of
from verify.checks.passing.facts import facts_of
from verify.checks.session import Session
from verify.checks.settings import Settings
from verify.compare import Reading, try_reading
from verify.errors import BenchError, Place, SimulationFault
from verify.models.family import Candidate
from verify.pictures import Driven
from verify.results import CheckResult, Explanation, Failure, Verdict
from verify.stimulus import first_look

__all__ = ["rerun"]


def rerun(check: ResolvedCheck, kept: Replay, file: Path, settings: Settings) -> CheckResult:
    """The result of the kept stimulus under the kept reading, from power-up, with its explanation."""
    began = time.monotonic()
    choice = settings.simulator
    if choice == "auto":
        choice = "verilator" if kept.simulator == "verilator" else "icarus"
    with Session(check, choice) as session:

        def result(
            verdict: Verdict,
            reason: str,
            failure: Failure | None = None,
            explanations: tuple[Explanation, ...] = (),
            notes: tuple[str, ...] = (),
        ) -> CheckResult:
            return CheckResult(
                check.name,
                check.family.name,
                check.module.name,
                verdict,
                reason,
                cycles=sum(kept.cycles),
                seconds=time.monotonic() - began,
                simulator=session.kind,
                seed=kept.seed,
                latency=kept.latency_cycles,
                facts=facts_of(check, reading, [reading]),
                failure=failure,
                explanations=explanations,
                unchecked_outputs=check.unchecked_outputs,
                tied_inputs=check.tied,
                notes=(*session.notes, *notes),
                driven=(Driven("replay", 1, sum(kept.cycles), sum(kind != 0 for kind in kept.reset)),),
                bindings=bindings_of(check),
            )

        candidates, chosen = _candidates(check, kept, session, file)
        reading = Reading(
            chosen,
            kept.kind,
            kept.latency_cycles,
            check.skew,
            check.settle,
            kept.reset_path,
        )
        try:
            stimulus = kept.stimulus(reading.model)
        except KeyError as missing:
            raise BenchError(
                f"the replay drives {missing}, which the check no longer has",
                place=Place(file),
                advice="run the check again to make a new replay",
            ) from None
        try:
            observed = session.observe(reading.model, stimulus)
        except SimulationFault as fault:
            return result(Verdict.UNDECIDED, fault.message, Failure(fault.fault, fault.message))
        trial = try_reading(reading, stimulus, observed)
        if trial.difference.first is None:
            return result(Verdict.PASS, "the kept stimulus shows no difference any more")
        failure = failure_of(check, trial, stimulus, observed)
        from verify.checks.differing.explaining import explain  # noqa: PLC0415 -- heavy, and only for failures

        confirmed = Confirmed(stimulus, observed, trial, repeats=True)
        failure = with_internals(check, confirmed, failure, settings)
        patience = settings.explain_seconds
        told = explain(session, Memory(), None, confirmed, candidates, seconds=patience)
        return result(Verdict.FAIL, failure.text, failure, told.explanations, told.notes)


def _candidates(
    check: ResolvedCheck, kept: Replay, session: Session, file: Path
) -> tuple[tuple[Candidate, ...], Candidate]:
    """All that the bench allows, and the one with the measured facts of the replay."""
    candidates = candidates_of(check)
    found = _matching(candidates, kept)
    if found is None:
        look = first_look(candidates[0].model, resets=check.resets, seed=kept.seed)
        observed = session.observe(candidates[0].model, look.stimulus)
        session.power_down()
        candidates = candidates_of(check, (look.stimulus, observed))
        found = _matching(candidates, kept)
    if found is None:
        raise BenchError(
            "the bench no longer allows what the replay measured",
            place=Place(file),
            advice="run the check again to make a new replay",
        )
    return candidates, found


def _matching(candidates: tuple[Candidate, ...], kept: Replay) -> Candidate | None:
    wanted = _plain(kept.measured)
    return next((c for c in candidates if _plain(dict(c.measured)) == wanted), None)


def _plain(value: object) -> object:
    """Lists for tuples, as JSON has it."""
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    return value
