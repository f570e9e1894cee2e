"""A module in the words of somebody who has read it."""

from __future__ import annotations

from collections.abc import Iterator

from verify.bench.inference.findings import Proposal, Unknown
from verify.report.assumed import assumption_text
from verify.report.figures import path_text, plural
from verify.report.look import Lines, hanging, rule
from verify.wording import enumerated, toml_text

__all__ = ["proposal_lines", "unknown_lines"]

_KINDS = {
    "divider": "a clock divider",
    "counter": "a counter",
    "bcd": "a converter from binary to decimal digits",
    "segments": "a seven-segment decoder",
    "timer": "a timer",
    "display": "a timer with a seven-segment display",
}


def proposal_lines(proposal: Proposal, width: int) -> Lines:
    """What the module is, what it is driven by, why we think so, and what stays open."""
    module = proposal.module
    where = f"{path_text(module.place.file)}:{module.place.line}"
    lines = [rule(module.name, width, "cyan")]
    lines += hanging("", " ".join(_story(proposal)), width, column=0)
    lines += hanging("from", where, width)
    for number, assumption in enumerate(dict.fromkeys(proposal.assumptions)):
        lines += hanging("because" if number == 0 else "", assumption_text(assumption), width)
    for number, axis in enumerate(a for a in proposal.axes if len(a) > 1):
        text = " or ".join(choice.text for choice in axis)
        lines += hanging("measured" if number == 0 else "", text, width)
    for number, rival in enumerate(proposal.rivals):
        lines += hanging("doubt" if number == 0 else "", f"could also be read so: {rival.text}", width)
    for question in proposal.questions:
        lines += hanging("question", question.text, width, label_style="bold yellow")
        for text, bench in question.readings:
            lines += hanging("", f"{text}:  {bench}", width)
    return lines


def _story(proposal: Proposal) -> Iterator[str]:
    module = proposal.module
    kind = _KINDS.get(proposal.model, proposal.model)
    registers = sum(r.width for r in module.registers)
    kept = f"with {plural(registers, 'bit')} of registers" if registers else "without registers"
    yield f"{module.name} is {kind}, {kept}."
    clock, reset = proposal.clock, proposal.reset
    if clock is not None:
        rate = "" if clock.frequency is None else f", {clock.frequency:,} Hz"
        parameter = "" if clock.parameter is None else f" (parameter {clock.parameter})"
        yield f"It runs on the {clock.edge} edge of {clock.port}{rate}{parameter}."
        yield (
            f"{reset.port}, active {reset.active}, resets it."
            if reset is not None
            else "It has no reset: it has to begin from its initial values."
        )
    yield f"It has {enumerated([_bound(role, ref) for role, ref in proposal.ports.items()])}."
    if proposal.expect:
        options = [f"{name} = {toml_text(value)}" for name, value in proposal.expect.items()]
        yield f"Expected of it: {enumerated(options)}."
    if module.instances:
        parts = [f"{child} {name}" for name, child in module.instances.items()]
        yield f"Inside: {enumerated(parts)}."


def _bound(role: str, reference: object) -> str:
    if isinstance(reference, dict):
        return f"{reference['port']} (active {reference['active']}) as {role}"
    if isinstance(reference, list):
        return f"{', '.join(map(str, reference))} as {role}"
    return f"{reference} as {role}"


def unknown_lines(unknown: Unknown, width: int) -> Lines:
    """A module that no golden model fits."""
    module = unknown.module
    lines = [rule(module.name, width, "yellow")]
    text = f"No golden model fits {module.name}. The nearest is {unknown.nearest}, but {unknown.differs}."
    lines += hanging("", text, width, column=0)
    return lines + hanging("from", f"{path_text(module.place.file)}:{module.place.line}", width)
