"""A stimulus under which no reading holds, and what can be told of it at once."""

from __future__ import annotations

from collections.abc import Sequence

from verify.bench import ResolvedCheck
from verify.checks.differing.suspects import skew_finding, unpinned_finding
from verify.checks.readings import ReadingSet
from verify.compare import Trial, cut_observed, cut_stimulus
from verify.models.family import Candidate
from verify.signals import ObservedTrace, Stimulus

__all__ = ["Failing", "all_unknown", "findings"]

OPENING_ROWS = 4_000
"""Changes of a failing trace among which a wrong latency, skew or kind of reset is looked for."""


class Failing(Exception):
    """No reading is left standing."""

    def __init__(
        self, trials: Sequence[Trial], stimulus: Stimulus, observed: ObservedTrace, *, late: bool = False
    ) -> None:
        super().__init__()
        self.trials, self.stimulus, self.observed = trials, stimulus, observed
        self.late = late
        """Whether the traces tell only the last cycles of a long run."""


def findings(
    check: ResolvedCheck, candidates: Sequence[Candidate], failing: Failing
) -> tuple[str | None, tuple[str, ...]]:
    """The kind of failure where it has a name of its own, and what is to be said of it, that first."""
    if all_unknown(failing.observed):
        why = (
            ", reset or not" if check.reset is not None else "; the design has no reset and no initial values"
        )
        return "never_leaves_x", (f"no output ever leaves x{why}",)
    early = _opening(check, failing)
    if early is None:
        return None, ()
    if late := skew_finding(check, early.trials, early.observed, early.stimulus):
        return "skew", (late,)
    instead = unpinned_finding(check, candidates, early.stimulus, early.observed)
    return None, () if instead is None else (instead,)


def _opening(check: ResolvedCheck, failing: Failing) -> Failing | None:
    """As much of a failing trace as shows a wrong latency, skew or kind of reset; they show early.

    None when a reading holds until after that: then it is something else that is wrong.
    """
    if failing.late:
        return None
    cycles = failing.observed.cycles
    if len(cycles) <= OPENING_ROWS:
        return failing
    last = int(cycles[OPENING_ROWS]) - 1
    if max(t.difference.first or 0 for t in failing.trials) > last or check.reset is None:
        return None
    stimulus = cut_stimulus(failing.stimulus, 0, last)
    observed = cut_observed(failing.observed, 0, last)
    tried = ReadingSet([t.reading for t in failing.trials], carries_state=False)
    return Failing(tried.try_all(stimulus, observed), stimulus, observed)


def all_unknown(observed: ObservedTrace) -> bool:
    """Every output is x or z in its every bit, on every cycle."""
    if observed.unknown is None or len(observed.cycles) != 1:
        return False
    return all(
        column is not None and int(column[0]) == signal.mask
        for column, signal in zip(observed.unknown, observed.signals, strict=True)
    )
