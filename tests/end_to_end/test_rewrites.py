"""A right design stays right however it is written: a sample of the rewrites that keep its behaviour."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest
from rewriting import KINDS, everything, rewrite

from verify.checks.planning import plan_check
from verify.checks.runner import CheckRun
from verify.checks.settings import Settings, SilentListener
from verify.results import Verdict

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
ALL = list(everything(EXAMPLES))
WHOLE = os.environ.get("EVERYEDGE_REWRITES") == "all"
SAMPLE = ALL if WHOLE else random.Random(3).sample(ALL, 24)


@pytest.mark.parametrize(("path", "kind"), SAMPLE, ids=[f"{p.parent.name}-{k}" for p, k in SAMPLE])
def test_a_rewritten_design_passes(path: Path, kind: str, tmp_path: Path) -> None:
    bench = rewrite(path, kind, tmp_path)
    if bench is None:
        return  # nothing to rewrite in this one
    for check in bench.checks:
        plan = plan_check(bench, check)
        result = CheckRun(plan.scaled, Settings(examples=10), SilentListener()).run().result
        assert result.verdict is Verdict.PASS, result.reason


def test_there_are_enough_rewrites_of_every_kind() -> None:
    assert len(ALL) >= 200
    assert len(KINDS) >= 12
