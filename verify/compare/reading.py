"""A reading: one complete answer to everything that a bench leaves open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from verify.compare.difference import Difference, find_difference
from verify.compare.masking import Ranges, uncompared_cycles
from verify.compare.reset_path import DIRECT, ResetPath
from verify.models.family import Candidate
from verify.models.golden import FollowingModel, GoldenModel, State
from verify.models.playing import ResetKind, expect
from verify.signals import ExpectedTrace, ObservedTrace, Reset, Stimulus

__all__ = ["Reading", "Trial", "expected_for", "try_reading"]


@dataclass(frozen=True, slots=True)
class Reading:
    """A golden model, a kind of reset and a latency that the design may have.

    ``skew``: output name -> clocks that it comes later than the latency. ``settle_cycles`` as in
    :func:`verify.compare.masking.uncompared_cycles`.
    """

    candidate: Candidate
    kind: ResetKind
    latency_cycles: int
    skew: Mapping[str, int] = field(default_factory=dict)
    settle_cycles: int | None = None
    reset_path: ResetPath = DIRECT

    @property
    def model(self) -> GoldenModel:
        """The golden model."""
        return self.candidate.model

    @property
    def delays_cycles(self) -> tuple[int, ...]:
        """Clocks from golden to observed, per output."""
        return tuple(self.latency_cycles + self.skew.get(s.name, 0) for s in self.model.outputs)

    def uncompared(self, stimulus: Stimulus, latency_cycles: int) -> Ranges:
        """The cycles of a stimulus that are not compared at that latency."""
        ranges = uncompared_cycles(
            self.reset_path.felt(stimulus),
            self.kind,
            latency_cycles=latency_cycles,
            settle_cycles=self.settle_cycles,
            opens_unreset=True,
        )
        late = self.reset_path.delay_cycles
        if late and stimulus.reset[:1].tolist() == [Reset.HELD]:  # nothing is reset before it arrives
            return np.concatenate([np.array([[0, late + 1]], np.int64), ranges])
        return ranges


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """A reading held against one observation."""

    reading: Reading
    expected: ExpectedTrace
    difference: Difference
    state: State


def expected_for(
    reading: Reading, stimulus: Stimulus, observed: ObservedTrace, state: State | None = None
) -> tuple[ExpectedTrace, State]:
    """The golden trace of the reading, not delayed, and the golden state after it."""
    model: GoldenModel = reading.model
    stimulus = reading.reset_path.felt(stimulus)
    if isinstance(model, FollowingModel):
        model = model.follow(stimulus, observed)
    return expect(model, stimulus, reading.kind, state)


def try_reading(
    reading: Reading,
    stimulus: Stimulus,
    observed: ObservedTrace,
    *,
    expected: tuple[ExpectedTrace, State] | None = None,
    state: State | None = None,
) -> Trial:
    """Compare an observation (over the model's outputs) with what the reading promises.

    ``expected``: the result of :func:`expected_for` when it is at hand; readings that differ only
    in latency share it.
    """
    trace, after = expected or expected_for(reading, stimulus, observed, state)
    delays = reading.delays_cycles
    masked = reading.uncompared(stimulus, max(delays, default=0))
    difference = find_difference(trace, observed, delays_cycles=delays, masked=masked)
    return Trial(reading, trace, difference, after)
