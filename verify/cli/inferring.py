"""Verilog without a bench: a word on what it is taken for, and the jobs that check it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from verify.bench.inference.infer import infer
from verify.checks.benchless.inferred_groups import Group, check_group, groups_of
from verify.checks.readable import require_readable_files
from verify.checks.settings import Listener, Settings
from verify.cli.job import Job
from verify.design.stubs import stub_of
from verify.report.assumed import assumed_lines
from verify.report.look import Lines
from verify.results import RunResult

__all__ = ["inferred_jobs"]


def inferred_jobs(
    files: Sequence[Path], settings: Settings, stubs: Sequence[str] = ()
) -> tuple[list[Job], Lines]:
    """A job for each bench that ``files`` need, and what was assumed, in lines.

    ``stubs``: what ``--stub`` was given.

    Raises the errors of :mod:`verify.errors`, QuestionError among them.
    """
    require_readable_files(files)
    inference = infer(files, [stub_of(text) for text in stubs])
    groups = groups_of(inference)
    jobs = [Job(Path(group.name), partial(_run, group, settings)) for group in groups]
    return jobs, assumed_lines(inference, [p for group in groups for p in group.proposals])


def _run(group: Group, settings: Settings, listener: Listener) -> RunResult:
    return check_group(group, settings, listener)
