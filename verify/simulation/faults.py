"""Why a burst has failed, in words."""

from __future__ import annotations

import contextlib
import re
import signal

from verify.errors import DesignError, SimulationFault, ToolError
from verify.simulation.building import MEMORY_WORDS, UNSETTLED_STATUS
from verify.simulation.decoding import BadTraceError, TraceDecoder
from verify.simulation.process import Child

__all__ = ["bad_trace", "ended", "overdue"]

NOT_RUNNABLE = re.compile(r"[^\n]* is not defined by any module")
ADVICE = {
    "hang": "look for a loop without delay, a combinational loop, or a latch that feeds itself",
    "early_end": "take $finish, $stop and $fatal out of the design; they belong in a testbench",
    "limit": "is a memory or a loop of the design far larger than meant?",
}


def bad_trace(child: Child, decoder: TraceDecoder, error: BadTraceError) -> SimulationFault:
    """The answer is not the trace that was asked for."""
    return _fault("bad_trace", f"the simulator's answer is not the trace asked for: {error}", child, decoder)


def overdue(child: Child, decoder: TraceDecoder, fault: str, seconds: float) -> SimulationFault:
    """No answer, or a late one."""
    if fault == "bad_trace":
        return bad_trace(child, decoder, BadTraceError("the burst is over and its end is missing"))
    if fault == "hang":
        return _fault(fault, "the simulation no longer makes progress", child, decoder)
    return _fault(fault, f"the burst took longer than {seconds:.0f} s", child, decoder)


def ended(child: Child, decoder: TraceDecoder, rest: bytes) -> SimulationFault | ToolError | DesignError:
    """The child is gone before the end of the burst."""
    status = child.status()
    log = child.log_tail()
    if rest:
        with contextlib.suppress(BadTraceError):
            decoder.decode(rest)  # how far did it come?
    if any(word in log for word in MEMORY_WORDS):
        return _fault("limit", "the simulator ran out of memory", child, decoder)
    if not child.started():
        return _not_started(status, log)
    fault, text = _why(status)
    return _fault(fault, text, child, decoder)


def _not_started(status: int, log: str) -> ToolError | DesignError:
    if unknown := NOT_RUNNABLE.search(log):
        return DesignError(f"the simulator cannot run the design: {unknown[0]}")
    return ToolError(
        f"the simulator did not start (exit status {status}): {log[-600:] or 'it printed nothing'}",
        advice="does it run at all? Reinstalling often helps: pip install -U 'cocotb>=2.1,<3'",
    )


def _why(status: int) -> tuple[str, str]:
    """The fault and its text for an exit status in the middle of a burst."""
    if status == -signal.SIGXCPU:
        return "limit", "the simulator used up its processor time"
    if status == UNSETTLED_STATUS:
        return "hang", "the design does not settle"
    if status < 0:
        return "crash", f"the simulator was ended by {_signal(-status)}"
    return "early_end", "the design itself ended the simulation"


def _signal(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"


def _fault(fault: str, text: str, child: Child, decoder: TraceDecoder) -> SimulationFault:
    where = f"after at least {decoder.reached} clocks of the burst"
    return SimulationFault(
        fault, f"{text}, {where}", cycle=decoder.reached, log=child.log_tail(), advice=ADVICE.get(fault)
    )
