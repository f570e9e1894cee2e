"""Diagnose: which fault reproduces everything that was observed."""

from verify.diagnose.engine import Diagnosis, diagnose, explain_failure
from verify.diagnose.fault import Fault
from verify.diagnose.observation import Observation

__all__ = ["Diagnosis", "Fault", "Observation", "diagnose", "explain_failure"]
