"""The unexpected: one line for the user, and a file with all that is needed to look into it."""

from __future__ import annotations

import platform
import sys
import tempfile
import traceback
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from verify.errors import EveryedgeError

__all__ = ["Crash", "crash_of"]


class Crash(EveryedgeError):
    """A fault of everyedge itself: exit status 2."""

    kind = "internal"


def crash_of(error: BaseException) -> Crash:
    """Write the report file and say where it is."""
    temporary = tempfile.tempdir  # None: none was used yet
    if isinstance(error, FileNotFoundError) and temporary and not Path(temporary).is_dir():
        advice = "make it again, or name another one in TMPDIR, and run once more"
        return Crash(f"the temporary folder {temporary} was removed during the run", advice=advice)
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="everyedge-report-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.write(_report(error))
        advice = f"this is a fault of everyedge; the details to report are in {file.name}"
    except OSError as full:
        advice = f"this is a fault of everyedge; its details could not be kept ({full.strerror})"
    return Crash(f"something unexpected went wrong: {what.splitlines()[0]}", advice=advice)


def _report(error: BaseException) -> str:
    packages = ("everyedge", "cocotb", "hypothesis", "numpy", "pyslang")
    lines = [f"{name} {_version(name)}" for name in packages]
    lines += [f"Python {sys.version}", platform.platform(), f"arguments: {sys.argv[1:]!r}", ""]
    return "\n".join(lines) + "".join(traceback.format_exception(error))


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"
