"""The golden models that a check allows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import takewhile

from verify.bench import ResolvedCheck
from verify.bench.scaled_constants import FAMILIES_WITH_STAGES
from verify.models.family import USUAL_LATENCIES_CYCLES, Candidate, Shape
from verify.models.free_phase import first_change
from verify.results import Fact
from verify.signals import ObservedTrace, Reset, Stimulus

__all__ = ["begins_halfway", "candidates_of", "halfway_note", "shape_of"]

HALFWAY = (
    "the first step comes after half a period: the stages are clocked by a square wave that the design "
    "divides down itself"
)

SHORTEST_RATIO = 4
"""Half of a shorter one is hard to tell from a whole one that comes early."""


def shape_of(check: ResolvedCheck) -> Shape:
    """Role -> width of each reference bound to it."""
    return {role: tuple(ref.width for ref in refs) for role, refs in check.roles.items()}


def candidates_of(
    check: ResolvedCheck, observed: tuple[Stimulus, ObservedTrace] | None = None
) -> tuple[Candidate, ...]:
    """The models of the check's family that fit the bench, most usual first.

    ``observed``: a first stimulus and what the design did, for facts that are read off. Stages on a
    square wave that the design divides down begin half a period early, at its first rising edge:
    where the design has such a clock, and begins then, that is a measured fact. Raises
    :class:`verify.models.family.OptionError` for options that contradict each other.
    """
    reset = check.reset is not None
    usual = check.family.candidates(shape_of(check), check.options, reset, observed)
    half = _half(check)
    if half is None or observed is None or not _begins_at(half, check, *observed):
        return usual
    options = {**check.options, "first": half}
    early = check.family.candidates(shape_of(check), options, reset, observed)
    return (*usual, *(replace(c, measured={"first": half, **c.measured}) for c in early))


def begins_halfway(check: ResolvedCheck, first: object) -> bool:
    """Whether a measured ``first`` is that of stages on a square wave."""
    return first is not None and first == _half(check)


def halfway_note(check: ResolvedCheck, facts: Iterable[Fact]) -> tuple[str, ...]:
    """A word on a first step that is measured to come after half a period."""
    halfway = any(fact.name == "first" and begins_halfway(check, fact.value) for fact in facts)
    return (HALFWAY,) if halfway else ()


def _half(check: ResolvedCheck) -> int | None:
    """Clocks to the first rising edge of the square wave; None where there can be none."""
    ratio = check.options.get("ratio")
    staged = check.family.name in FAMILIES_WITH_STAGES
    if not staged or not check.divides_clock or check.reset is None or "first" in check.options:
        return None
    return ratio // 2 if isinstance(ratio, int) and ratio >= SHORTEST_RATIO else None


def _begins_at(half: int, check: ResolvedCheck, stimulus: Stimulus, observed: ObservedTrace) -> bool:
    """Whether the first change comes then, or up to a usual latency later; a scan changes all the time."""
    if "select" in check.roles:
        return True
    release = sum(run.cycles for run in takewhile(lambda r: r.reset is Reset.HELD, stimulus.runs()))
    changed = first_change(observed, tuple(range(len(observed.values))))
    return changed is not None and changed - release - half in USUAL_LATENCIES_CYCLES
