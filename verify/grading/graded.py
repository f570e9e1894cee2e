"""What one submission came to, as plain values that can be saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from verify.results import CheckResult, Verdict

__all__ = ["CheckMark", "Graded"]


@dataclass(frozen=True, slots=True)
class CheckMark:
    """One check of one submission.

    ``verdict`` as in the JSON result. ``likeness``: equal for checks that went wrong in the same
    way, empty for a pass; ``what``: that way in words. ``detail``: the whole report, as text.
    """

    name: str
    verdict: str
    weight: float
    reason: str
    what: str = ""
    likeness: str = ""
    detail: str = ""
    cycles: int = 0
    seconds: float = 0.0

    @property
    def marks(self) -> float:
        """The weight for a pass, nothing for anything else."""
        return self.weight if self.verdict == Verdict.PASS.value else 0.0


@dataclass(frozen=True, slots=True)
class Graded:
    """One submission: its checks in the order of the bench. ``seconds`` of wall time."""

    name: str
    checks: tuple[CheckMark, ...]
    seconds: float = 0.0

    @property
    def marks(self) -> float:
        """All weights of passes."""
        return sum(check.marks for check in self.checks)

    @property
    def out_of(self) -> float:
        """All weights."""
        return sum(check.weight for check in self.checks)

    @property
    def verdict(self) -> str:
        """The worst of its checks, as for a run."""
        found = {check.verdict for check in self.checks}
        for verdict in ("error", "fail", "undecided"):
            if verdict in found:
                return verdict
        return "pass" if found else "undecided"

    @property
    def doubtful(self) -> bool:
        """Whether a person should look at it: a check neither passes nor fails."""
        return any(check.verdict not in (Verdict.PASS.value, Verdict.FAIL.value) for check in self.checks)

    def as_json(self) -> dict[str, Any]:
        """For a file."""
        return asdict(self)

    @classmethod
    def of_json(cls, data: Mapping[str, Any]) -> Graded:
        """The other way. Raises KeyError, TypeError or ValueError for what is none."""
        checks = tuple(CheckMark(**check) for check in data["checks"])
        return cls(str(data["name"]), checks, float(data["seconds"]))


def mark_of(result: CheckResult, weight: float, detail: str) -> CheckMark:
    """What is kept of a result."""
    what, likeness = _likeness(result)
    return CheckMark(
        result.name,
        result.verdict.value,
        weight,
        result.reason,
        what=what,
        likeness=likeness,
        detail=detail,
        cycles=result.cycles,
        seconds=round(result.seconds, 3),
    )


def _likeness(result: CheckResult) -> tuple[str, str]:
    """In words and as a key: the fault that explains every cycle, else the first difference by role."""
    if result.verdict is Verdict.PASS:
        return "", ""
    explained = next((e for e in result.explanations if e.reproduces_all_cycles), None)
    if explained is not None:
        return explained.text, f"fault {explained.fault} {explained.text}"
    failure = result.failure
    first = failure.mismatch if failure is not None else None
    if failure is None or first is None:
        return result.reason, f"reason {result.verdict.value} {result.reason}"
    text = (
        f"{first.role or first.port} is {first.observed} in cycle {first.cycle:,} of the shortest stimulus, "
        f"expected {first.expected}"
    )
    return text, f"first {failure.kind} {first.role} {first.cycle} {first.expected} {first.observed}"
