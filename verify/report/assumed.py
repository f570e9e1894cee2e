"""What was inferred, in a few lines: said before a check of Verilog that has no bench."""

from __future__ import annotations

from collections.abc import Sequence

from verify.bench.inference.findings import Assumption, Proposal
from verify.bench.inference.infer import Inference
from verify.report.kinds import kind_text
from verify.report.look import Lines, hanging, line

__all__ = ["assumed_lines", "assumption_text"]


def assumed_lines(inference: Inference, proposals: Sequence[Proposal], width: int = 80) -> Lines:
    """A line or two for each module: what it is taken for, and the assumptions with their places."""
    lines: Lines = []
    for remark in inference.remarks:
        lines += hanging("", remark, width, indent=0, column=2)
    for proposal in proposals:
        lines.append(line((f"{proposal.module.name} is taken for {kind_text(proposal)}", "bold")))
        for assumption in dict.fromkeys(proposal.assumptions):
            lines += hanging("", assumption_text(assumption), width, indent=2, column=4)
    checked = {p.module.name for p in proposals}
    for unknown in inference.unknown:
        if unknown.module.name not in inference.tops:
            nearest = f"nearest: {unknown.nearest}, but {unknown.differs}"
            text = f"{unknown.module.name}: no golden model fits ({nearest}); checked as a part of the whole"
            lines += hanging("", text, width, indent=0, column=2)
    for skipped in inference.proposals:
        if skipped.module.name not in checked and skipped.questions:
            lines += hanging(
                "",
                f"{skipped.module.name}: {skipped.questions[0].text}; left to the whole",
                width,
                indent=0,
                column=2,
            )
    return lines


def assumption_text(assumption: Assumption) -> str:
    """With its place in front."""
    where = "" if assumption.place is None else f"{assumption.place.in_short}: "
    return f"{where}{assumption.text}"
