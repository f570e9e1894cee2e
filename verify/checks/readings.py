"""Which readings of a design a bench allows, and which of them an observation leaves standing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from verify.bench import ResolvedCheck
from verify.compare import Reading, Trial, cut_observed, cut_stimulus, expected_for, try_reading
from verify.models.family import USUAL_LATENCIES_CYCLES, Candidate
from verify.models.golden import FollowingModel, State
from verify.models.playing import ResetKind
from verify.signals import ExpectedTrace, ObservedTrace, Stimulus

__all__ = ["LATENCIES_CYCLES", "ReadingSet", "best", "readings"]

LATENCIES_CYCLES = (USUAL_LATENCIES_CYCLES, range(USUAL_LATENCIES_CYCLES.stop, 65))
"""Latencies tried when the bench pins none: the usual ones first."""


def readings(
    check: ResolvedCheck,
    candidates: Iterable[Candidate],
    latencies: Iterable[int],
    *,
    pinned: bool = True,
) -> list[Reading]:
    """All combinations that the bench allows; ``pinned`` False: as if it pinned neither
    latency nor kind of reset.
    """
    kinds: Sequence[ResetKind] = (ResetKind.ASYNCHRONOUS, ResetKind.SYNCHRONOUS)
    if check.reset is None:
        kinds = kinds[:1]
    elif pinned and check.reset.kind is not None:
        kinds = (check.reset.kind,)
    wanted = tuple(latencies)
    if pinned and check.latency is not None:
        wanted = (check.latency,)
    return [
        Reading(candidate, kind, latency, check.skew, check.settle)
        for candidate in candidates
        for kind in kinds
        for latency in _allowed(candidate, wanted, fixed=pinned and check.latency is not None)
        if all(latency + skew >= 0 for skew in check.skew.values())
    ]


def _allowed(candidate: Candidate, wanted: tuple[int, ...], *, fixed: bool) -> tuple[int, ...]:
    if candidate.latencies is None:
        return wanted
    return tuple(v for v in candidate.latencies if v in wanted) if fixed else candidate.latencies


OPENING_ROWS = 4_000
"""Changes at the opening of a long observation that tell most readings apart."""


class ReadingSet:
    """The readings still standing, with the golden state that each has come to.

    Designs with a reset start every stimulus from it; without one the golden state is carried on
    from stimulus to stimulus.
    """

    def __init__(self, standing: Sequence[Reading], *, carries_state: bool) -> None:
        self.standing = list(standing)
        self._carries = carries_state
        self._states: dict[tuple[int, ResetKind], State] = {}

    def try_all(self, stimulus: Stimulus, observed: ObservedTrace) -> list[Trial]:
        """Every standing reading against one observation; their golden states move on.

        Of a long observation only those that hold in its opening, unless none does.
        """
        trials, states = self._tried(self._hopeful(stimulus, observed), stimulus, observed)
        if self._carries:
            self._states |= states
        return trials

    def _hopeful(self, stimulus: Stimulus, observed: ObservedTrace) -> list[Reading]:
        """The readings that an opening of the observation leaves standing; all if it leaves none."""
        follows = any(isinstance(r.model, FollowingModel) for r in self.standing)
        if len(observed.cycles) <= 2 * OPENING_ROWS or len(self.standing) == 1 or follows:
            return self.standing
        last = int(observed.cycles[OPENING_ROWS]) - 1
        opening = cut_stimulus(stimulus, 0, last), cut_observed(observed, 0, last)
        trials, _ = self._tried(self.standing, *opening)
        return [t.reading for t in trials if t.difference.matches] or self.standing

    def _tried(
        self, standing: Sequence[Reading], stimulus: Stimulus, observed: ObservedTrace
    ) -> tuple[list[Trial], dict[tuple[int, ResetKind], State]]:
        shared: dict[tuple[int, ResetKind], tuple[ExpectedTrace, State]] = {}
        trials = []
        for reading in standing:
            key = (id(reading.candidate), reading.kind)
            if key not in shared:
                shared[key] = expected_for(reading, stimulus, observed, self._states.get(key))
            trials.append(try_reading(reading, stimulus, observed, expected=shared[key]))
        return trials, {key: state for key, (_, state) in shared.items()}

    def keep(self, readings_kept: Sequence[Reading]) -> None:
        """Only these still stand."""
        self.standing = list(readings_kept)


CLEARLY, BY_FAR = 0.7, 0.05
"""A longer latency is believed over a shorter one only if it leaves less than this part of the
wrong cycles (an unusual one: by far less): any delay of a periodic output matches here and there."""


def best(trials: Sequence[Trial]) -> Trial:
    """The reading that explains most, the shortest latency among those that explain about as much."""
    compared = max(t.difference.compared_cycles for t in trials)
    fair = [t for t in trials if 2 * t.difference.compared_cycles >= compared] or list(trials)
    chosen = min(fair, key=lambda t: (t.reading.latency_cycles, _wrong_part(t)))
    for trial in sorted(fair, key=lambda t: t.reading.latency_cycles):
        usual = trial.reading.latency_cycles in USUAL_LATENCIES_CYCLES
        if _wrong_part(trial) < (CLEARLY if usual else BY_FAR) * _wrong_part(chosen):
            chosen = trial
    return chosen


def _wrong_part(trial: Trial) -> float:
    return trial.difference.wrong_cycles / max(trial.difference.compared_cycles, 1)
