"""Checks: runs what a bench asks for, from files to verdicts."""

from verify.checks.bench_run import check_bench, replay
from verify.checks.inferred_groups import check_verilog
from verify.checks.settings import Listener, Settings, SilentListener

__all__ = ["Listener", "Settings", "SilentListener", "check_bench", "check_verilog", "replay"]
