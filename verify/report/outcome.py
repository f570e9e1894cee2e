"""Everything one command came to: a part for each bench, finished or not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from verify.errors import EveryedgeError
from verify.results import CheckResult, RunResult, Verdict

__all__ = ["Outcome", "Part"]


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """What one bench (or replay file) came to: a result, or the error that kept it from one.

    ``result`` and ``error`` are both there when some checks had finished before the error.
    """

    source: Path
    result: RunResult | None = None
    error: EveryedgeError | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """``seconds`` of wall time; ``interrupted``: somebody ended the command before it was done."""

    parts: tuple[Part, ...]
    seconds: float = 0.0
    interrupted: bool = False

    @property
    def verdict(self) -> Verdict:
        """Error beats fail beats undecided beats pass; what was interrupted never passes."""
        verdicts = {part.result.verdict for part in self.parts if part.result is not None}
        if self.error is not None or Verdict.ERROR in verdicts:
            return Verdict.ERROR
        for verdict in (Verdict.FAIL, Verdict.UNDECIDED):
            if verdict in verdicts:
                return verdict
        return Verdict.PASS if verdicts and not self.interrupted else Verdict.UNDECIDED

    @property
    def error(self) -> EveryedgeError | None:
        """The first error."""
        return next((part.error for part in self.parts if part.error is not None), None)

    @property
    def checks(self) -> tuple[CheckResult, ...]:
        """Every check that finished, in the order of the parts."""
        return tuple(check for _, check in self.placed())

    def placed(self) -> Iterator[tuple[Part, CheckResult]]:
        """Every check that finished, with its part."""
        for part in self.parts:
            for check in part.result.checks if part.result is not None else ():
                yield part, check
