"""A counter behind a prescaler of its own steps once in many clocks: it is a timer."""

from __future__ import annotations

import re
from dataclasses import replace
from math import prod
from typing import Any

from verify.bench.inference.buttons import BUTTONS
from verify.bench.inference.clockwork import has_prescaler, pace_of, stage_axes
from verify.bench.inference.code_text import without_comments
from verify.bench.inference.controls import Controls
from verify.bench.inference.findings import Choice, Proposal
from verify.bench.inference.seen import Seen
from verify.bench.inference.view import View

__all__ = ["behind_prescaler"]

_OWN = {"enable", "clear", *BUTTONS}
_ROLES = {"count", "digits", "carry", *_OWN}


def behind_prescaler(view: View, proposal: Proposal, counted: list[Seen]) -> Proposal:
    """The counter as it is, or as a timer where another register of it is compared and stands between."""
    if not set(proposal.ports) <= _ROLES or not _divides(view, counted):
        return proposal
    expect = dict(proposal.expect)
    stages, moduli = _stages(proposal, expect, counted)
    if not moduli or set(expect) - {"modulo", "digit_modulo", "encoding"}:
        return proposal
    own = {role: port for role, port in proposal.ports.items() if role in _OWN}
    controls = Controls(dict(own))
    pace = pace_of(view, "seconds", controls)
    if pace.steps_per_clock:
        return proposal
    more, axes = stage_axes(view, pace, controls, moduli)
    of_time = any(n.means("seconds", "minutes", "hours") for n in (view.name, *(s.name for s in counted)))
    rates = () if pace.clock.frequency is None or of_time else (10, 100, 1000)
    return replace(
        proposal,
        model="timer",
        ports={"stages": stages, **own},
        expect={**pace.expect, "modulo": moduli, **more},
        clock=pace.clock,
        assumptions=(
            *(a for a in proposal.assumptions if not a.key.startswith(("expect.", "ports.carry"))),
            *(a for a in proposal.assumptions if a.key.startswith("expect.")),
            *pace.assumptions,
        ),
        axes=tuple(axes),
        rivals=(*pace.rivals, *(Choice(f"{rate} steps a second", {"rate": rate}) for rate in rates)),
        questions=(*proposal.questions, *pace.questions),
    )


def _divides(view: View, counted: list[Seen]) -> bool:
    """Whether a register is compared that neither is the count nor is wired to it.

    So it is where the count steps with a clock that is made inside by a divider.
    """
    made = any(view.module.port(clock) is None for clock in view.clocks)
    if made and view.module.instances and has_prescaler(view):
        return True
    text = without_comments(view.text)
    shown = {seen.port.name for seen in counted}
    for name in tuple(shown):
        for match in re.finditer(rf"\bassign\s+{re.escape(name)}\b[^=]*=([^;]*);", text):
            shown |= set(re.findall(r"[A-Za-z_]\w*", match[1]))
    hidden = {
        r.name for r in view.module.registers if r.name not in shown and r.width > 1 and "." not in r.name
    }
    return any(c.signal in hidden for c in view.module.comparisons)


def _stages(proposal: Proposal, expect: dict[str, Any], counted: list[Seen]) -> tuple[list[str], list[Any]]:
    if "digits" in proposal.ports:
        return list(proposal.ports["digits"]), list(
            expect.get("digit_modulo", ())
        ) if "modulo" not in expect else []
    if len(counted) != 1:
        return [], []
    port = counted[0].port
    if "digit_modulo" in expect or expect.get("encoding") == "bcd":
        moduli = list(expect.get("digit_modulo", [10] * (port.width // 4)))
        if expect.get("modulo", prod(moduli)) != prod(moduli):
            return [], []
        step = 1 if port.left >= port.right else -1
        ends = [(port.right + step * (4 * i + 3), port.right + step * 4 * i) for i in range(len(moduli))]
        return [f"{port.name}[{high}:{low}]" for high, low in ends], moduli
    return [port.name], [expect.get("modulo", 1 << port.width)]
