"""The worked designs, changed: a sample of the changes, all of which have to be found."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from verify.strength import measure_strength

EXAMPLES = Path(__file__).parents[2] / "rtl_examples"
SAMPLE = os.environ.get("EVERYEDGE_STRENGTH_SAMPLE", "6")
"""Changes tried of each design; ``all`` tries every one."""
NAMES = ["counter_up_down", "segments_blanking"]
CHOSEN = sorted(p.parent.name for p in EXAMPLES.glob("*/bench.toml")) if SAMPLE == "all" else NAMES
MOST_SURVIVORS = 0.01
"""Of the changes that make a difference, those of ``EXPLAINED`` aside."""
EXPLAINED = {"bcd_pipelined": 4, "bcd_registered": 1, "bcd_divide": 1, "bcd_sequential": 1}
"""What is on its way through a pipeline when a reset comes is not promised; a port that is wider than the
bits that the bench names, the others at rest, is no other machine."""


@pytest.mark.parametrize("name", CHOSEN)
def test_changes_of_a_worked_design_are_found(name: str) -> None:
    sample = None if SAMPLE == "all" else int(SAMPLE)
    strength = measure_strength(EXAMPLES / name / "bench.toml", sample=sample, seed=11, remember=False)
    told = [(t.mutation.old, t.mutation.new, t.how, t.difference) for t in strength.of("survived")]
    assert strength.of("killed")
    assert len(told) - EXPLAINED.get(name, 0) <= MOST_SURVIVORS * len(strength.of("killed")), told
