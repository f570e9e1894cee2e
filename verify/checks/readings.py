"""Which readings of a design a bench allows, and which of them an observation leaves standing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from verify.bench import ResolvedCheck
from verify.compare import (
    DIRECT,
    GoldenKey,
    Reading,
    ResetPath,
    Stream,
    Trial,
    expected_for,
    golden_key,
    try_reading,
)
from verify.models.family import USUAL_LATENCIES_CYCLES, Candidate
from verify.models.golden import FollowingModel, State
from verify.models.playing import ResetKind
from verify.signals import ExpectedTrace, ObservedTrace, Stimulus

__all__ = ["LATENCIES_CYCLES", "ReadingSet", "best", "readings"]

LATEST_RESET_CYCLES = 3
"""How late the reset of a design may be, when its registers say that it is late."""

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
    fixed = pinned and check.latency is not None
    if fixed and check.latency is not None:
        wanted = (check.latency,)
    candidates = tuple(candidates)
    if fixed and not any(_allowed(candidate, wanted, fixed=True) for candidate in candidates):
        # No such design has the pinned latency; what the bench says is held against it all the same.
        candidates = tuple(replace(candidate, latencies=None) for candidate in candidates)
    return [
        Reading(candidate, kind, latency, check.skew, check.settle, path)
        for candidate in candidates
        for kind in kinds
        for path in reset_paths(check, kind)
        for latency in _allowed(candidate, wanted, fixed=fixed)
        if all(latency + skew >= 0 for skew in check.skew.values())
    ]


def reset_paths(check: ResolvedCheck, kind: ResetKind) -> tuple[ResetPath, ...]:
    """The ways in which reset may reach the design: as pinned, or as its registers suggest.

    Only where the design's own registers stand between the port and the rest is a late reset
    measured; a design that merely begins late is wrong.
    """
    reset = check.reset
    if reset is None:
        return (DIRECT,)
    ports = {part.port for part in reset.ref.slices}
    registers = check.module.registers
    delays: Iterable[int] = (0,)
    releases: Iterable[int] = (0,)
    if kind is ResetKind.SYNCHRONOUS and any(ports & set(register.shifts) for register in registers):
        delays = range(LATEST_RESET_CYCLES + 1)
    inside = {register.reset for register in registers} - {port.name for port in check.module.ports} - {None}
    cleared = any(register.reset in ports and register.width <= LATEST_RESET_CYCLES for register in registers)
    others = any(register.reset is None for register in registers)
    if inside or (kind is ResetKind.SYNCHRONOUS and cleared and others):
        releases = range(LATEST_RESET_CYCLES + 1)
    if reset.delay is not None:
        delays = (reset.delay,)
    if reset.release is not None:
        releases = (reset.release,)
    paths = tuple(ResetPath(delay, release) for delay in delays for release in releases)
    return tuple(path for path in paths if kind is ResetKind.SYNCHRONOUS or not path.delay_cycles) or paths


def _allowed(candidate: Candidate, wanted: tuple[int, ...], *, fixed: bool) -> tuple[int, ...]:
    if candidate.latencies is None:
        return wanted
    return tuple(v for v in candidate.latencies if v in wanted) if fixed else candidate.latencies


class ReadingSet:
    """The readings still standing, with the golden state that each has come to.

    Designs with a reset start every stimulus from it; without one the golden state is carried on
    from stimulus to stimulus.
    """

    def __init__(self, standing: Sequence[Reading], *, carries_state: bool) -> None:
        self.standing = list(standing)
        self.carries_state = carries_state
        self._states: dict[GoldenKey, State] = {}

    def try_all(self, stimulus: Stimulus, observed: ObservedTrace) -> list[Trial]:
        """Every standing reading against one observation; their golden states move on."""
        shared: dict[GoldenKey, tuple[ExpectedTrace, State]] = {}
        trials = []
        for reading in self.standing:
            key = golden_key(reading)
            if key not in shared:
                shared[key] = expected_for(reading, stimulus, observed, self._states.get(key))
            trials.append(try_reading(reading, stimulus, observed, expected=shared[key]))
        if self.carries_state:
            self._states |= {key: state for key, (_, state) in shared.items()}
        return trials

    def stream(self, stimulus: Stimulus) -> Stream | None:
        """Hold the standing readings against windows of an observation instead; None: not possible.

        :meth:`streamed` must be told when it is through.
        """
        if any(isinstance(reading.model, FollowingModel) for reading in self.standing):
            return None
        return Stream(self.standing, stimulus, self._states)

    def streamed(self, stream: Stream) -> None:
        """The golden states of a stream that has come to its end are those to go on from."""
        if self.carries_state:
            self._states |= stream.states

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
