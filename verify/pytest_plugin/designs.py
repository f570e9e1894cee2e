"""The simulators that a test module has asked for."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from types import TracebackType

import pytest

from verify.errors import EveryedgeError
from verify.properties import DesignSimulation
from verify.properties import simulate as open_design
from verify.pytest_plugin.settings import settings_of
from verify.report.telling import error_text

__all__ = ["Designs"]


class Designs:
    """Opens designs, and ends them all."""

    def __init__(self, folder: Path, config: pytest.Config) -> None:
        self._folder, self._config = folder, config
        self._open = contextlib.ExitStack()

    def simulate(self, bench: str | os.PathLike[str], check: str | None = None) -> DesignSimulation:
        """See :func:`verify.simulate`; a path is taken from the folder of the test file."""
        __tracebackhide__ = True
        try:
            design = open_design(self._folder / bench, check, settings_of(self._config))
            self._open.enter_context(design).start()
        except EveryedgeError as error:
            raise pytest.fail.Exception(error_text(error), pytrace=False) from None
        return design

    def __enter__(self) -> Designs:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._open.close()
