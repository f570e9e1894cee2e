"""A design of which one part takes the reset at once and another at the clock edge.

Joined from modules of several hands, many a right timer is like that. A reset that lasts a clock or
longer is all that it needs; a pulse between two edges leaves it half reset. Where the bench leaves the
kind of reset open, that is a measured fact, told with the lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from verify.bench import Bench, ResolvedCheck
from verify.bench.schema import Check, ResetTable
from verify.checks.planning import Plan, plan_check
from verify.checks.runner import Outcome
from verify.checks.scaled.scaling import run_plan
from verify.checks.settings import Listener, Settings
from verify.design.interface import Register
from verify.models.playing import ResetKind
from verify.results import CheckResult, Fact, Verdict
from verify.signals import Reset
from verify.wording import enumerated

__all__ = ["run_with_any_reset"]

_NAMED = 3
"""Registers of each sort that are named."""


def run_with_any_reset(plan: Plan, settings: Settings, listener: Listener) -> tuple[Outcome, ResolvedCheck]:
    """As :func:`run_plan`; once more, with nothing asked of pulses, where a mixed reset may be to blame.

    What fails then, too, is wrong whatever the kind of reset.
    """
    outcome, check = run_plan(plan, settings, listener)
    parts = _parts(plan.native)
    if parts is None or not _after_a_reset(outcome):
        return outcome, check
    mixed = plan_check(*_asking_for_mixed(plan.bench, plan.check))
    again, check_again = run_plan(mixed, settings, listener)
    if again.result.verdict is Verdict.FAIL and _explained(outcome.result) > _explained(again.result):
        return outcome, check
    note = (
        f"the reset is mixed: {_registers(parts[0])} take it at once, {_registers(parts[1])} at the clock "
        "edge; no reset pulse between two edges is driven, which would leave the design half reset"
    )
    facts = tuple(_measured(fact) for fact in again.result.facts)
    again.result = replace(again.result, facts=facts, notes=(note, *again.result.notes))
    return again, check_again


def _parts(check: ResolvedCheck) -> tuple[Sequence[Register], Sequence[Register]] | None:
    """The registers that wait for an edge of the reset, and the others; None: the kind is no question."""
    if check.reset is None or check.reset.kind is not None:
        return None
    ports = {part.port for part in check.reset.ref.slices}
    at_once = [r for r in check.module.registers if r.reset in ports]
    waiting = [r for r in check.module.registers if r.reset is None]
    return (at_once, waiting) if at_once and waiting else None


def _after_a_reset(outcome: Outcome) -> bool:
    """Whether the design first differs where it had been reset once it was running."""
    confirmed = outcome.confirmed
    if outcome.result.verdict is not Verdict.FAIL or confirmed is None:
        return False
    stimulus, first = confirmed.stimulus, confirmed.trial.difference.first or 0
    return bool(np.any((stimulus.reset[1:] != Reset.RELEASED) & (stimulus.starts[1:] <= first)))


def _asking_for_mixed(bench: Bench, check: Check) -> tuple[Bench, Check]:
    if bench.reset is not None:
        bench = replace(bench, reset=_mixed(bench.reset))
    elif isinstance(check.reset, str):
        check = check.model_copy(update={"reset": _mixed(ResetTable(port=check.reset))})
    if isinstance(check.reset, ResetTable):
        check = check.model_copy(update={"reset": _mixed(check.reset)})
    return bench, check


def _mixed(table: ResetTable) -> ResetTable:
    return table.model_copy(update={"kind": ResetKind.MIXED.value})


def _explained(result: CheckResult) -> bool:
    return any(told.reproduces_all_cycles for told in result.explanations)


def _measured(fact: Fact) -> Fact:
    return replace(fact, source="measured") if fact.name == "reset.kind" else fact


def _registers(registers: Sequence[Register]) -> str:
    named = [f"{r.name} ({r.place.in_short})" for r in registers[:_NAMED]]
    return enumerated([*named, *(["others"] if len(registers) > _NAMED else [])])
