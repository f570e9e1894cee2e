"""The command loop inside the simulator: one byte starts a burst, another one reports its end.

Loaded by cocotb in the simulator's process, by file and not as part of the package, so that nothing
but cocotb is imported there. The player in the harness (or in the simulator's main program) does
the work; in between it waits here, with the simulation standing still.
"""

import fcntl
import os
import select
import signal
import socket
import sys
import types


def prepare() -> None:
    """Runs before cocotb is loaded."""
    tie_to_parent(int(os.environ["EVERYEDGE_LIFELINE"]))
    if "EVERYEDGE_SHORT_START" in os.environ:
        # cocotb imports pytest only to recognise its exceptions in a regression; that is a third
        # of the start-up time, and no regression is run here.
        sys.modules.setdefault("pytest", types.ModuleType("pytest"))


def tie_to_parent(lifeline: int) -> None:
    """Let the kernel end this process when the parent's end of the pipe closes.

    A thread would not do: the simulator holds the interpreter's lock while it simulates.
    """
    fcntl.fcntl(lifeline, fcntl.F_SETOWN, os.getpid())
    if hasattr(fcntl, "F_SETSIG"):
        fcntl.fcntl(lifeline, fcntl.F_SETSIG, signal.SIGKILL)
    flags = fcntl.fcntl(lifeline, fcntl.F_GETFL)
    fcntl.fcntl(lifeline, fcntl.F_SETFL, flags | os.O_ASYNC)
    if select.select([lifeline], [], [], 0)[0]:  # it closed before the kernel was told
        os.kill(os.getpid(), signal.SIGKILL)


async def play_bursts(harness) -> None:  # type: ignore[no-untyped-def]
    """Play a burst for every byte received."""
    from cocotb.triggers import Timer  # noqa: PLC0415

    commands = socket.socket(fileno=int(os.environ["EVERYEDGE_COMMANDS"]))
    commands.send(b"h")
    # Before time 0 a value written here would be overwritten by the register's initial value.
    await Timer(1, "step")
    go, done = harness.go, harness.done.value_change
    level = 0
    while commands.recv(1):
        level = 1 - level
        go.value = level
        await done
        commands.send(b"d")


def start() -> None:
    """Runs when cocotb has found the harness: starts the loop without cocotb's regression runner."""
    import cocotb  # noqa: PLC0415
    from cocotb import _event_loop  # noqa: PLC0415
    from cocotb.task import Task  # noqa: PLC0415

    Task(play_bursts(cocotb.top))._start_soon()
    _event_loop._inst.run()
