"""Worked computations: what each register holds and why, as tables to teach and to check by hand."""

from verify.diagnose.worked.conversion import worked_conversion
from verify.diagnose.worked.digit import worked_digit
from verify.diagnose.worked.division import worked_division
from verify.diagnose.worked.stages import worked_stages
from verify.sheet import NothingToShow, Row, Sheet

__all__ = [
    "NothingToShow",
    "Row",
    "Sheet",
    "worked_conversion",
    "worked_digit",
    "worked_division",
    "worked_stages",
]
