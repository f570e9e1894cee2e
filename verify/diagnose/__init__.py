"""Diagnose: which fault reproduces everything that was observed."""

from verify.diagnose.deadline import Deadline, OutOfTime
from verify.diagnose.engine import Ask, Diagnosis, diagnose
from verify.diagnose.fault import Edit, Fault
from verify.diagnose.observation import Observation
from verify.diagnose.ruling import rule_table
from verify.diagnose.telling import Beside, Told, tell

__all__ = [
    "Ask",
    "Beside",
    "Deadline",
    "Diagnosis",
    "Edit",
    "Fault",
    "Observation",
    "OutOfTime",
    "Told",
    "diagnose",
    "rule_table",
    "tell",
]
