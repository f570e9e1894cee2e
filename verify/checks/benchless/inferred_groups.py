"""Verilog without a bench: which checks there are, and what they come to."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from verify.bench.inference.findings import Proposal, Question, Unknown
from verify.bench.inference.infer import Inference, infer
from verify.bench.inference.tables import bench_text, compatible
from verify.checks.benchless.inferred import QuestionError, check_proposal, unknown_result
from verify.checks.settings import Listener, Settings, SilentListener
from verify.design.stubs import Stub
from verify.results import CheckResult, RunResult, Verdict

__all__ = ["Group", "check_group", "check_verilog", "groups_of"]

FOLDER = Path(".everyedge", "inferred")


class Group:
    """What is checked with one bench: a top and those of its parts that fit into the same tables."""

    def __init__(
        self, inference: Inference, proposals: Sequence[Proposal], unknown: Sequence[Unknown]
    ) -> None:
        self.inference, self.proposals, self.unknown = inference, tuple(proposals), tuple(unknown)

    @property
    def name(self) -> str:
        """The module on top."""
        return self.proposals[-1].module.name if self.proposals else self.unknown[-1].module.name


def groups_of(inference: Inference) -> list[Group]:
    """The groups in the order of the tops, parts first.

    Raises QuestionError when what is in doubt decides a verdict: a part in doubt below a top that
    is clear is left to the top.
    """
    groups = []
    taken: set[str] = set()
    for top in inference.tops:
        names = [name for name in inference.below(top) if name not in taken]
        taken.update(names)
        mine = [p for name in names for p in inference.proposals if p.module.name == name]
        unknown = [u for u in inference.unknown if u.module.name == top]
        on_top = [p for p in mine if p.module.name == top]
        clear = bool(on_top) and not any(p.questions for p in on_top)
        for proposal in mine:
            if proposal.questions and not (clear and proposal.module.name != top):
                raise _asked(proposal, proposal.questions)
        mine = [p for p in mine if not p.questions]
        while mine:
            head = mine[-1]
            together = [p for p in mine if compatible(p, head)]
            groups.append(Group(inference, together, unknown))
            unknown = []
            mine = [p for p in mine if p not in together]
        if unknown:
            groups.append(Group(inference, (), unknown))
    return groups


def _asked(proposal: Proposal, questions: Sequence[Question]) -> QuestionError:
    first = questions[0]
    lines = [f"  {text}:  {bench}" for question in questions for text, bench in question.readings]
    return QuestionError(
        f"{proposal.module.name}: {first.text}"
        + "".join(f"\nand: {question.text}" for question in questions[1:]),
        place=first.place,
        advice="nothing was checked. `everyedge describe FILES --write bench.toml` writes a bench; put in "
        "the line that is meant:\n" + "\n".join(lines),
    )


def check_verilog(
    files: Sequence[Path], settings: Settings | None = None, listener: Listener | None = None
) -> RunResult:
    """Infer what ``files`` are and check that.

    A module on top that no golden model fits is undecided. Raises the errors of
    :mod:`verify.errors`: a QuestionError where only the user can say what is meant.
    """
    settings, listener = settings or Settings(), listener or SilentListener()
    results = [check_group(group, settings, listener) for group in groups_of(infer(files))]
    checks = tuple(check for result in results for check in result.checks)
    return RunResult(checks, results[0].bench, sum(result.seconds for result in results))


def check_group(group: Group, settings: Settings, listener: Listener) -> RunResult:
    """Run the checks of one bench, parts first, and keep the bench for replays."""
    path = FOLDER / f"{group.name}.toml"
    sources = group.inference.sources
    proposals, results = [], []
    for proposal in group.proposals:
        if settings.only and proposal.name not in settings.only:
            continue
        checked = check_proposal(proposal, sources, path, settings, listener)
        proposals.append(checked.proposal)
        results.append(_without_stubs(checked.result, proposal, group.inference.stubs))
        listener.check_finished(results[-1])
    for unknown in group.unknown:
        results.append(unknown_result(unknown))
        listener.check_finished(results[-1])
    if proposals:
        _keep(path, bench_text(proposals, sources, path.parent))
    return RunResult(tuple(results), path, sum(result.seconds for result in results))


def _without_stubs(result: CheckResult, proposal: Proposal, stubs: Sequence[Stub]) -> CheckResult:
    """No verdict where an output that is compared depends on one that a stub does not drive."""
    names = {stub.name for stub in stubs}
    module = proposal.module
    watched = [n for n in module.reached_by if re.search(rf"\b{re.escape(n)}\b", str(dict(proposal.ports)))]
    for name in watched:
        for source in sorted(module.reached_by[name]):
            if source.partition(".")[0] in names:
                stub = source.partition(".")[0]
                return replace(
                    result,
                    verdict=Verdict.UNDECIDED,
                    reason=f"{name} depends on {source}, for which a stub stands in",
                    failure=None,
                    explanations=(),
                    replay=None,
                    settled_by=(
                        f"add a file that defines {stub}",
                        f"--stub {stub}=PORT, if its outputs follow that input",
                    ),
                )
    return result


def _keep(path: Path, text: str) -> None:
    """The bench that was inferred, for replays; a folder that cannot be written is no reason to stop."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError:
        return
