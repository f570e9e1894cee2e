"""For each golden model the faults that a design of its kind can have."""

from verify.diagnose.vocabulary.all import edits
from verify.diagnose.vocabulary.context import Context

__all__ = ["Context", "edits"]
