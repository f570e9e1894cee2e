"""What a bench leaves open, read off a design by the first look of a check alone."""

from __future__ import annotations

from typing import Any

from verify.bench import ResolvedCheck
from verify.checks.readings import best
from verify.checks.runner import CheckRun, Outcome
from verify.checks.settings import Settings, SilentListener
from verify.compare import Reading
from verify.results import Verdict

__all__ = ["read_off"]


def read_off(check: ResolvedCheck, settings: Settings) -> tuple[Reading, ...]:
    """The readings that a first look leaves; of a design that fits none, the one that fits best.

    Raises :class:`verify.errors.SimulationFault` and what building raises.
    """
    look = _Look(check, settings, SilentListener())
    outcome = look.run()
    if not look.readings:
        reason = outcome.result.reason
        raise look.fault or RuntimeError(f"the first look came to no reading: {reason}")
    return look.readings


class _Look(CheckRun):
    """A run that ends when it has seen how the design is to be read."""

    readings: tuple[Reading, ...] = ()
    fault: Exception | None = None

    def _follow_plan(self) -> None:
        self.readings = tuple(self._compared.standing)

    def _search(self) -> None:
        """Nothing more is compared."""

    def _failed(self, failing: Any) -> Outcome:
        self.readings = (best(failing.trials).reading,)
        return Outcome(self._result(Verdict.FAIL, "the first look differs"))

    def _faulted(self, fault: Any) -> Any:
        self.fault = fault
        return self._result(Verdict.UNDECIDED, fault.message)
