"""Which static displays a bench and a first observation allow."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol, cast

from verify.models.agreement import agreed_cycles, opening, undisturbed_runs
from verify.models.display_face import Face, Leading
from verify.models.display_layout import Layout
from verify.models.display_leaps import SharedLeaps
from verify.models.display_reading import compatible, patterns_of_panel, points_of, stages_of
from verify.models.display_static import Panel, StaticDisplay
from verify.models.family import USUAL_LATENCIES_CYCLES, Candidate
from verify.models.golden import Drivable, GoldenModel
from verify.models.timer_model import Timer
from verify.signals import ObservedTrace, Stimulus

__all__ = [
    "MANY_RUNS",
    "STRANGERS",
    "Glyphs",
    "Observed",
    "StaticReading",
    "TimerSource",
    "calm_opening",
    "face_facts",
    "longest_agreeing",
    "point_facts",
    "sieve",
]

FEW_RUNS, MANY_RUNS = 6, 120
"""What is left after a few runs, in which no control is used yet, is tried on many more."""

STRANGERS = 4
"""So many models are kept when none explains the design."""

Observed = tuple[Stimulus, ObservedTrace] | None

Glyphs = Sequence[tuple[tuple[int, ...], Mapping[str, Any]]]
"""Sets of glyphs and the facts that name them, most usual first."""


class TimerSource(Protocol):
    """Gives the candidates of the timer behind a display."""

    def __call__(self, reset: bool, observed: Observed) -> tuple[Candidate, ...]:
        """As :meth:`verify.models.family.Family.candidates` of the timer."""
        ...


@dataclass(frozen=True, slots=True)
class StaticReading:
    """Everything that a bench says about a static display."""

    timers: TimerSource
    layout: Layout
    glyphs: Glyphs
    leading: tuple[Leading, ...]
    in_reset: int | None
    panel: Panel
    leaps: SharedLeaps = field(default_factory=SharedLeaps)

    def candidates(self, observed: Observed, *, reset: bool) -> tuple[Candidate, ...]:
        """The displays that can be behind ``observed``; where none can, the most usual ones."""
        points, glyphs = 0, list(self.glyphs)
        told: Observed = None
        if observed is not None:
            stimulus, trace = observed
            patterns = patterns_of_panel(self.panel, trace)
            seen = {int(p) for values, known in patterns for p in set(values[known].tolist())}
            glyphs = [g for g in glyphs if compatible(g[0], seen)] or glyphs
            points = points_of(patterns) if self._has_points else 0
            told = (stimulus, stages_of(self.layout, patterns, glyphs[0][0], trace))
        timers = self.timers(reset, told)
        found = [
            (candidate, leading, self._display(candidate.model, glyphs[0][0], leading, points))
            for candidate in timers
            for leading in self.leading
        ]
        if observed is not None:
            allowed = [c.latencies or USUAL_LATENCIES_CYCLES for c, _, _ in found]
            kept = sieve(
                [(d, latencies) for (_, _, d), latencies in zip(found, allowed, strict=True)], observed
            )
            found = [found[i] for i in kept]
        return tuple(
            Candidate(
                self._display(candidate.model, patterns_of, leading, points),
                {**candidate.measured, **shapes, **point_facts(points), **face_facts(leading)},
                candidate.latencies,
                candidate.shift,
            )
            for candidate, leading, _ in found
            for patterns_of, shapes in glyphs
        )

    @property
    def _has_points(self) -> bool:
        return self.panel.point or any(wires.has_point for wires in self.panel.wires)

    def _display(
        self, model: GoldenModel, glyphs: tuple[int, ...], leading: Leading, points: int
    ) -> StaticDisplay:
        face = Face(self.layout, glyphs, leading, points)
        return StaticDisplay(cast(Timer, model), face, self.panel, self.in_reset, self.leaps)


def face_facts(leading: Leading) -> Mapping[str, Any]:
    """The measured fact about leading zeros, if it is one."""
    names = {"number": "all before the number", "first": "in the first place"}
    return {"blank_zeros": names[leading]} if leading in names else {}


def point_facts(points: int) -> Mapping[str, Any]:
    """The digits whose decimal point is lit, if there are any."""
    lit = [i for i in range(points.bit_length()) if points >> i & 1]
    return {"points": lit} if lit else {}


Trials = Sequence[tuple[GoldenModel, Sequence[int]]]
"""Models, each with the latencies that it may have."""


def sieve(models: Trials, observed: tuple[Stimulus, ObservedTrace]) -> list[int]:
    """The indices of the models that agree with the observation at one of their latencies.

    When none agrees throughout: those that agree for longest, at most a few.
    """
    standing, whole = longest_agreeing(models, range(len(models)), *calm_opening(models[0][0], observed))
    if whole:
        standing, whole = longest_agreeing(models, standing, *opening(*observed, MANY_RUNS))
    return standing if whole else standing[:STRANGERS]


def calm_opening(
    model: GoldenModel, observed: tuple[Stimulus, ObservedTrace]
) -> tuple[Stimulus, ObservedTrace]:
    """The first runs of an observation, as long as no control of the model is used."""
    resting = model.resting if isinstance(model, Drivable) else {}
    return opening(*observed, min(FEW_RUNS, undisturbed_runs(resting, observed[0])))


def longest_agreeing(
    models: Trials, among: Iterable[int], stimulus: Stimulus, trace: ObservedTrace
) -> tuple[list[int], bool]:
    """The indices of the models that agree for longest, and whether they do so throughout."""
    agreed = {i: max(agreed_cycles(models[i][0], stimulus, trace, delays_cycles=models[i][1])) for i in among}
    longest = max(agreed.values())
    return [i for i, cycles in agreed.items() if cycles == longest], longest == trace.length
