"""Room: bench. What must be true of a design: read from a file, and looked up in the design."""

from verify.bench.binding import port_text, reference_of, to_drive, to_roles
from verify.bench.load import load_bench
from verify.bench.resolve import resolve
from verify.bench.resolved import PortRef, ResetPort, ResolvedCheck, Slice
from verify.bench.schema import Bench, Check, ClockTable, DesignTable, ResetTable

__all__ = [
    "Bench",
    "Check",
    "ClockTable",
    "DesignTable",
    "PortRef",
    "ResetPort",
    "ResetTable",
    "ResolvedCheck",
    "Slice",
    "load_bench",
    "port_text",
    "reference_of",
    "resolve",
    "to_drive",
    "to_roles",
]
