"""What a speed-up does to the verdict of a check that rests on it."""

from __future__ import annotations

from dataclasses import replace

from verify.results import CheckResult, Failure, Speedup, Verdict
from verify.timescale.laboratory import NativeRun

__all__ = ["judged"]


def judged(result: CheckResult, speedup: Speedup, native: NativeRun) -> CheckResult:
    """``result`` of a scaled run in the light of its speed-up; never a pass on an unsound one.

    A native run that differs is a failure, with that difference. So is what is wrong on the board
    for certain. Otherwise an unsound speed-up leaves it open: what the scaled run found, good or
    bad, need not be so on the board.
    """
    result = replace(result, speedup=speedup)
    if native.agrees is False and native.failure is not None:
        failed = _failed(result, f"at the native frequency {native.text}", native.failure, native.cycles)
        return replace(failed, explanations=native.explanations)
    if speedup.sound is not False:
        return result
    if speedup.definite:
        if result.verdict is Verdict.FAIL:
            return replace(result, notes=(*result.notes, *speedup.problems))
        return _failed(result, speedup.problems[0], Failure("timescale", speedup.problems[0]), 0)
    if result.verdict not in (Verdict.PASS, Verdict.FAIL):
        return result
    saw = "agrees" if result.verdict is Verdict.PASS else f"differs ({result.reason})"
    advice = (*([native.settled_by] if native.settled_by else []), *result.settled_by)
    return replace(
        result,
        verdict=Verdict.UNDECIDED,
        reason=f"the speed-up is not sound: {speedup.problems[0]}; the scaled run {saw}",
        explanations=(),  # of what the scaled run did
        settled_by=tuple(dict.fromkeys(advice)),
    )


def _failed(result: CheckResult, reason: str, failure: Failure, cycles: int) -> CheckResult:
    """A failure that only shows on the board; a replay of the scaled run would not show it."""
    notes = result.notes
    if result.verdict is Verdict.FAIL:
        notes = (*notes, f"the scaled run differs, too: {result.reason}")
    return replace(
        result,
        verdict=Verdict.FAIL,
        reason=reason,
        failure=failure,
        explanations=(),
        replay=None,
        notes=notes,
        cycles=result.cycles + cycles,
        settled_by=(),
    )
