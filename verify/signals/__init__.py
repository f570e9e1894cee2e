"""The values that pass between the rooms: signals, stimuli and change traces.

Every value here is immutable, typed and free of I/O; numpy is the only import.
"""

from verify.signals.columns import Column, changed_rows, column, full, width_mask
from verify.signals.merging import merged_cycles
from verify.signals.signal import Signal
from verify.signals.stimulus import Reset, Run, Stimulus, joined
from verify.signals.trace import ExpectedTrace, ObservedTrace

__all__ = [
    "Column",
    "ExpectedTrace",
    "ObservedTrace",
    "Reset",
    "Run",
    "Signal",
    "Stimulus",
    "changed_rows",
    "column",
    "full",
    "joined",
    "merged_cycles",
    "width_mask",
]
