"""A module in the words of somebody who has read it."""

from __future__ import annotations

from collections.abc import Iterator

from verify.bench.inference.findings import Proposal, Unknown
from verify.report.assumed import assumption_text
from verify.report.fact_words import fact_words
from verify.report.figures import path_text, plural
from verify.report.kinds import kind_text, port_texts
from verify.report.look import Lines, hanging, rule
from verify.wording import enumerated, toml_text

__all__ = ["proposal_lines", "unknown_lines"]


_MOST_TOLD = 3
"""More ways to read something are not told one by one."""


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
        text = "whether " + ", or ".join(choice.text for choice in axis)
        if len(axis) > _MOST_TOLD:
            keys = dict.fromkeys(key for choice in axis for key in choice.expect)
            text = enumerated([fact_words(key) for key in keys]) or text
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
    kind = kind_text(proposal)
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
    clauses = port_texts(proposal.ports)
    yield f"Of its ports, {'; '.join(clauses)}."
    if proposal.expect:
        options = [f"{name} = {toml_text(value)}" for name, value in proposal.expect.items()]
        yield f"Expected of it: {enumerated(options)}."
    if module.instances:
        parts = [f"{child} {name}" for name, child in module.instances.items()]
        yield f"Inside: {enumerated(parts)}."


def unknown_lines(unknown: Unknown, width: int) -> Lines:
    """A module that no golden model fits."""
    module = unknown.module
    lines = [rule(module.name, width, "yellow")]
    text = f"No golden model fits {module.name}. The nearest is {unknown.nearest}, but {unknown.differs}."
    lines += hanging("", text, width, column=0)
    return lines + hanging("from", f"{path_text(module.place.file)}:{module.place.line}", width)
