"""``everyedge describe``: what Verilog files hold, and the bench that follows from it."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from verify.bench.inference.findings import Proposal
from verify.bench.inference.infer import Inference, infer, with_choices
from verify.bench.inference.tables import bench_text, compatible
from verify.checks.benchless.inferred import Checked, check_proposal
from verify.checks.readable import require_readable_files
from verify.checks.settings import Settings, SilentListener
from verify.cli.skeleton import skeleton_of
from verify.design.stubs import stub_of
from verify.errors import BenchError, EveryedgeError, Place
from verify.report.described import proposal_lines, unknown_lines
from verify.report.figures import path_text
from verify.report.look import Lines, hanging, line
from verify.report.printing import Printer
from verify.results import Verdict

__all__ = ["describe_files"]

_AS_CHECKED = Settings()
"""As `check` does it, so that every fact that it measures is pinned."""


def describe_files(files: Sequence[Path], *, write: Path | None, stubs: Sequence[str] = ()) -> int:
    """Say what the files hold and show the bench; with ``write`` measure what is open, and save it.

    The exit status: 0, or 2 when questions are left that only the user can answer.
    """
    printer = Printer(sys.stdout)
    if write is not None:
        if write.exists():
            raise BenchError(
                f"{path_text(write)} is there already",
                place=Place(write),
                advice="name another file, or move it away",
            )
        if write.suffix != ".toml":
            raise BenchError(f"{path_text(write)} is no name of a bench", advice="a bench ends in .toml")
    require_readable_files(files)
    inference = infer(files, [stub_of(text) for text in stubs])
    printer.print(_summary(inference, printer.width))
    directory = write.parent if write is not None else Path()
    proposals = [_settled(p) for p in inference.proposals]
    open_questions: list[EveryedgeError] = []
    measure = None if write is None else open_questions
    text = _bench(inference, proposals, directory, measure=measure, printer=printer)
    if write is None:
        printer.print(
            [
                line(""),
                *hanging("", "The bench that follows from this:", printer.width, indent=0, column=0),
                line(""),
            ]
        )
        printer.print([line(row) for row in text.splitlines()])
    else:
        _save(write, text)
        printer.print(
            [line(""), line(f"The bench is in {path_text(write)}: everyedge check {path_text(write)}")]
        )
    asked = any(p.questions for p in inference.proposals if p.module.name in inference.tops)
    return 2 if asked or any(error.kind == "question" for error in open_questions) else 0


def _save(file: Path, text: str) -> None:
    try:
        file.write_text(text, encoding="utf-8")
    except OSError as error:
        raise BenchError(f"the bench could not be written: {error.strerror}", place=Place(file)) from None


def _summary(inference: Inference, width: int) -> Lines:
    lines: Lines = []
    for remark in inference.remarks:
        lines += hanging("", remark, width, indent=0, column=2)
    for unknown in inference.unknown:
        lines += unknown_lines(unknown, width)
    for proposal in inference.proposals:
        lines += [*proposal_lines(proposal, width), line("")]
    return lines


def _settled(proposal: Proposal) -> Proposal:
    """With the likeliest choice wherever something is open."""
    return with_choices(proposal, *(axis[0] for axis in proposal.axes if axis))


def _bench(
    inference: Inference,
    proposals: list[Proposal],
    directory: Path,
    *,
    measure: list[EveryedgeError] | None,
    printer: Printer,
) -> str:
    """The bench as text. ``measure``: what is open is measured, and what kept it from that goes in here."""
    if not proposals:
        top = inference.design.modules[inference.tops[0]]
        return skeleton_of(top, inference.sources)
    head = next((p for p in reversed(proposals) if p.module.name in inference.tops), proposals[-1])
    together = [p for p in proposals if compatible(p, head) and p is not head] + [head]
    apart = [p for p in proposals if p not in together]
    pins: list[tuple[str, list[tuple[str, str]]]] = []
    if measure is not None:
        originals = {p.name: p for p in inference.proposals}
        for index, proposal in enumerate(together):
            checked = _measured(originals[proposal.name], inference, directory, printer, measure)
            if checked is not None:
                together[index] = checked.proposal
                pins.append((proposal.name, _pins(checked)))
                verdict = checked.result.verdict
                if verdict is not Verdict.PASS:
                    printer.print(
                        hanging(
                            "",
                            f"{proposal.name}: {verdict.value}: {checked.result.reason}; not pinned",
                            printer.width,
                            indent=0,
                            column=2,
                        )
                    )
    text = bench_text(together, inference.sources, directory, pins)
    if apart:
        names = ", ".join(p.name for p in apart)
        text += f"\n# Not in here, for they need another clock table: {names}\n"
    asked = [q for p in together for q in p.questions]
    for question in asked:
        text += "".join(
            f"# {row}\n"
            for row in ("", f"QUESTION: {question.text}", *(f"  {t}:  {b}" for t, b in question.readings))
        )
    return text


def _measured(
    proposal: Proposal,
    inference: Inference,
    directory: Path,
    printer: Printer,
    kept: list[EveryedgeError],
) -> Checked | None:
    """The proposal with its conventions chosen; None, and why is said, where it cannot be checked."""
    if proposal.questions:
        return None
    try:
        return check_proposal(
            proposal, inference.sources, directory / "bench.toml", _AS_CHECKED, SilentListener()
        )
    except EveryedgeError as error:
        kept.append(error)
        told = f"{proposal.name}: {error.message}; nothing of it is pinned"
        printer.print(hanging("", told, printer.width, indent=0, column=2))
        return None


def _pins(checked: Checked) -> list[tuple[str, str]]:
    """The lines that pin what was measured, each with where it comes from."""
    if checked.result.verdict is not Verdict.PASS:
        return []
    result = checked.result
    why = f"measured: {result.cycles:,} clocks, seed {result.seed}"
    said = checked.proposal.expect
    facts = [f for f in result.facts if f.source == "measured" and f.pin]
    return [(fact.pin, why) for fact in facts if fact.name.partition(".")[0] not in said]
