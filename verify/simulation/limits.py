"""What a simulation may use up before it is ended."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Limits"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Generous by default: a limit is there to end what never ends, not what is slow.

    ``stall_seconds``: processor time that the simulator may use without any sign of progress (it
    gives one at least every 512 clocks); a machine under load does not shorten it. ``wait_seconds``:
    wall time without progress, whoever is to blame. ``clocks_per_second``: slowest acceptable speed
    of a burst, beyond ``wait_seconds`` for its start. ``memory_bytes``: address space of the
    simulator. ``log_bytes``: what is kept of its output; the rest is dropped. ``cpu_seconds``:
    processor time of one simulation in all. ``build_seconds``: wall time of a build.
    """

    stall_seconds: float = 10.0
    wait_seconds: float = 120.0
    clocks_per_second: float = 50.0
    memory_bytes: int = 4 << 30
    log_bytes: int = 8 << 20
    cpu_seconds: int = 24 * 3600
    build_seconds: float = 300.0
