"""Compare: where what happened differs from what should have happened."""

from verify.compare.coverage import CoverageCounter
from verify.compare.difference import Difference, find_difference
from verify.compare.masking import Ranges, uncompared_cycles
from verify.compare.reading import Reading, Trial, expected_for, try_reading
from verify.compare.reset_path import DIRECT, ResetPath
from verify.compare.streaming import GoldenKey, Step, Stream, golden_key
from verify.compare.windows import cut_expected, cut_observed, cut_stimulus, delayed, joined_observed

__all__ = [
    "DIRECT",
    "CoverageCounter",
    "Difference",
    "GoldenKey",
    "Ranges",
    "Reading",
    "ResetPath",
    "Step",
    "Stream",
    "Trial",
    "cut_expected",
    "cut_observed",
    "cut_stimulus",
    "delayed",
    "expected_for",
    "find_difference",
    "golden_key",
    "joined_observed",
    "try_reading",
    "uncompared_cycles",
]
