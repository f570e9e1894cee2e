"""When every stimulus matches: whether that is a pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from verify.checks.budgeting import THOROUGH_TRIP_CYCLES
from verify.checks.passing.facts import latencies_left, simplest
from verify.checks.passing.settling import orders_when_idle
from verify.compare import CoverageCounter, Reading
from verify.results import Verdict

__all__ = ["Decision", "decide"]


SCALE_DOWN = (
    "let a parameter of the design carry the clock frequency, and name it in [clock]: it is scaled down then"
)


@dataclass(frozen=True, slots=True)
class Decision:
    """``reason`` empty: nothing speaks against a pass. ``settled_by``: what would settle the rest."""

    verdict: Verdict
    reason: str = ""
    settled_by: tuple[str, ...] = ()


def decide(
    standing: Sequence[Reading], counter: CoverageCounter | None, *, trip_cycles: int, cut: bool
) -> Decision:
    """A pass, if the stimuli could have failed.

    ``counter``: what they reached, None when nothing was compared. ``trip_cycles``: the clocks that
    one of them may take. ``cut``: the time was up before all of them were played.
    """
    reading = simplest(standing)
    delays = latencies_left(standing)
    if counter is None or counter.idle:
        return Decision(
            Verdict.UNDECIDED,
            "no output was ever asked to change, so a match says nothing",
            orders_when_idle(reading.model),
        )
    if len(delays) > 1 and reading.model.inputs:
        shown = " and ".join(str(clocks) for clocks in delays[:4])
        return Decision(
            Verdict.UNDECIDED,
            f"the stimuli could not tell latencies {shown} apart",
            (f"pin it in the bench: latency = {reading.latency_cycles}",),
        )
    missed = counter.unreached_landmarks()
    if cut:
        left = f"; {len(missed)} of the rollovers were not reached by then" if missed else ""
        return Decision(
            Verdict.UNDECIDED,
            f"the time limit ended it before everything was compared{left}",
            (
                "allow more time than the seconds_limit of this call",
                *((SCALE_DOWN,) if missed else ()),
            ),
        )
    if missed:
        return Decision(
            Verdict.UNDECIDED,
            f"{len(missed)} of the rollovers were not reached: the next needs {missed[0]:,} clocks "
            f"from reset, {trip_cycles:,} were allowed",
            (
                SCALE_DOWN,
                f"run the check with --thorough, for up to {THOROUGH_TRIP_CYCLES:,} clocks on Verilator",
            ),
        )
    return Decision(Verdict.PASS)
