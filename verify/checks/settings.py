"""What a caller may ask of a run, and who is told how it goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    from verify.results import CheckResult
    from verify.simulation import Limits

__all__ = ["Listener", "Settings", "SilentListener", "SimulatorChoice"]

SimulatorChoice = Literal["auto", "icarus", "verilator"]


@dataclass(frozen=True, slots=True)
class Settings:
    """Options of one call; every None means "as usual".

    ``seed``: of the generated stimuli; None: the fixed default, so that two runs agree.
    ``only``: names of checks to run, empty: all. ``cycles_limit``: clocks to simulate per check.
    ``examples``: generated stimuli per check. ``seconds_limit``: wall time per check, after which
    it ends undecided. ``jobs``: checks run side by side, each in a process of
    its own; None: one after the other, here. ``thorough``: run whatever tells more about
    a speed-up, however long it takes (every ratio, the native second on Icarus). ``frozen``: nothing
    may be measured, everything must be pinned in the bench.
    ``explain_seconds``: wall time in which a failure is to be explained. ``allow``: constructs
    that the designs may hold although no synthesisable design needs them, beside those of the bench.
    ``limits``: of the simulator. ``internals``: of a failure, the signals inside the design as well.
    """

    seed: int | None = None
    simulator: SimulatorChoice = "auto"
    only: tuple[str, ...] = ()
    cycles_limit: int | None = None
    examples: int | None = None
    seconds_limit: float | None = None
    jobs: int | None = None
    thorough: bool = False
    frozen: bool = False
    explain_seconds: float | None = None
    allow: tuple[str, ...] = ()
    limits: Limits | None = None
    internals: bool = False


class Listener(Protocol):
    """Is told how a run goes, from the thread that checks. ``name`` is the name of a check."""

    def check_started(self, name: str, expected_clocks: int | None) -> None:
        """A check begins; ``expected_clocks``: how many it will compare, None when not known."""
        ...

    def stage(self, name: str, text: str) -> None:
        """What it does now, in a word or two: ``building``, ``rollovers``, ``searching``."""
        ...

    def clocks(self, name: str, done: int, total: int | None) -> None:
        """Clocks compared so far, and of how many."""
        ...

    def check_finished(self, result: CheckResult) -> None:
        """A check has its verdict."""
        ...


class SilentListener:
    """A listener that does nothing: the default of the library."""

    def check_started(self, name: str, expected_clocks: int | None) -> None:
        """Nothing."""

    def stage(self, name: str, text: str) -> None:
        """Nothing."""

    def clocks(self, name: str, done: int, total: int | None) -> None:
        """Nothing."""

    def check_finished(self, result: CheckResult) -> None:
        """Nothing."""
