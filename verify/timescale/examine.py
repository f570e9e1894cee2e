"""Put the evidence about a speed-up together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from verify.results import CheckResult, Speedup, Verdict
from verify.timescale.finding import Finding
from verify.timescale.laboratory import NativeRun, ShortRun
from verify.timescale.survey import Survey
from verify.timescale.sweep import sweep_problem

__all__ = ["Evidence", "examine", "without_parameter"]


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """Everything that is known about one scaled run.

    ``result``: of the check at the scaled parameter. ``findings``: from reading the design there.
    ``sweep``: short runs at other ratios. ``native``: the native second. ``remarks``: more problems
    in words.
    """

    survey: Survey
    factor: int
    result: CheckResult
    findings: Sequence[Finding]
    sweep: Sequence[ShortRun]
    native: NativeRun
    remarks: Sequence[str] = ()

    @property
    def name(self) -> str:
        """The clock parameter."""
        return next(iter(self.survey.natives))

    @property
    def native_value(self) -> int:
        """Its value on the board."""
        return self.survey.natives[self.name]

    @property
    def scaled_value(self) -> int:
        """Its value in the run."""
        return self.native_value // self.factor

    def answered(self, finding: Finding) -> bool:
        """Whether both runs show that the finding does not matter."""
        covered = finding.native_clocks is not None and finding.native_clocks <= self.native.cycles
        return bool(self.native.agrees and covered) and self.result.verdict is not Verdict.FAIL


def examine(evidence: Evidence) -> Speedup:
    """The speed-up with its evidence, its problems, and whether it is sound.

    Sound: nothing speaks against it and the native second agrees. None: nothing speaks against it,
    but the native second was not run. Without a speed-up (factor 1) only what is wrong for certain
    counts.
    """
    open_findings = [
        f
        for f in evidence.findings
        if f.unsound and not evidence.answered(f) and (f.definite or evidence.factor > 1)
    ]
    problems = [_with_place(finding) for finding in open_findings]
    places = [finding.place for finding in open_findings]
    others = [sweep_problem(evidence.sweep, evidence.name, evidence.scaled_value), *evidence.remarks]
    if evidence.native.agrees is False:
        others.append(f"one native second differs: {evidence.native.text}")
    for other in others:
        if other is not None:
            problems.append(other)
            places.append(None)
    sound: bool | None = False
    if not problems:
        sound = True if evidence.factor == 1 or evidence.native.agrees else None
    return Speedup(
        evidence.factor,
        sound,
        tuple(_told(evidence)),
        tuple(problems),
        tuple(places),
        definite=evidence.native.agrees is False or any(f.definite for f in open_findings),
    )


def without_parameter(result: CheckResult) -> Speedup:
    """A design that no parameter can speed up: what ran is what is on the board."""
    ran = f"{result.cycles:,} clocks ran at the native ratio"
    return Speedup(
        1, sound=True, evidence=(f"no parameter of the module carries the clock frequency: {ran}",)
    )


def _told(evidence: Evidence) -> Iterable[str]:
    name, native, scaled = evidence.name, evidence.native_value, evidence.scaled_value
    if evidence.factor == 1:
        why = "" if evidence.survey.is_used else ", which nothing depends on that the checked outputs need"
        yield f"no speed-up: the check ran at {name} = {native:,}{why}"
    else:
        count = evidence.survey.followers
        yield (
            f"read at {name} = {native:,} and at {scaled:,}: {count} "
            f"{'place depends' if count == 1 else 'places depend'} on it"
        )
    for finding in evidence.findings:
        if not finding.unsound:
            yield _with_place(finding)
        elif evidence.answered(finding):
            yield f"{_with_place(finding)} (not seen in the native second)"
    yield from _swept(evidence)
    if evidence.native.agrees is None:
        yield f"native second not run: {evidence.native.text}"
    elif evidence.native.agrees:
        yield (
            f"native second: {evidence.native.cycles:,} clocks at {name} = {native:,} compared on every edge "
            f"on {evidence.native.simulator}, no difference"
        )
    if evidence.factor > 1:
        yield f"whole check at {name} = {scaled:,}: {evidence.result.cycles:,} clocks compared"


def _swept(evidence: Evidence) -> Iterable[str]:
    right = [f"{run.value:,}" for run in evidence.sweep if run.agrees]
    few = [run for run in evidence.sweep if run.agrees is False and run.value < evidence.scaled_value]
    if right:
        yield f"ratio sweep: agrees at {evidence.name} = {', '.join(right)}"
    for run in evidence.sweep:
        if run.agrees is None:
            yield f"ratio sweep: not run at {evidence.name} = {run.value:,}: {run.text}"
    if few:
        last = few[-1]
        yield f"at {evidence.name} = {last.value:,} it differs ({last.text}): it needs more clocks than that"


def _with_place(finding: Finding) -> str:
    place = finding.place
    if place is None or place.line is None:
        return finding.text
    return f"{place.file.name}:{place.line}: {finding.text}"
