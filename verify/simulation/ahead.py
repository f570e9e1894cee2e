"""Build in the background what will be wanted later."""

from __future__ import annotations

import contextlib
import threading
from types import TracebackType

from verify.errors import EveryedgeError
from verify.simulation.crew import Crew
from verify.simulation.interface import SimulatorKind, Target
from verify.simulation.limits import Limits
from verify.simulation.opening import build_target

__all__ = ["BuiltAhead"]


class BuiltAhead:
    """A build that began with this object; a context manager that ends it when nobody wants it any more.

    Whoever opens the same target meanwhile waits for it. What is wrong with it is told to them, not here.
    """

    def __init__(self, target: Target, kind: SimulatorKind, limits: Limits | None = None) -> None:
        self._crew = Crew()
        self._thread = threading.Thread(
            target=self._build, args=(target, kind, limits or Limits()), name="build ahead", daemon=True
        )
        self._thread.start()

    def _build(self, target: Target, kind: SimulatorKind, limits: Limits) -> None:
        with contextlib.suppress(EveryedgeError, OSError):
            build_target(target, kind, limits, self._crew)

    def __enter__(self) -> BuiltAhead:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._crew.stop()
        self._thread.join()
